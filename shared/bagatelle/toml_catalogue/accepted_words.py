"""What a field of the form accepts, in the words of whoever writes TOML: it has tables, and no null."""

from typing import Final

from bagatelle.toml_catalogue.form import NAME_PATTERN, PITCH_PATTERN, SETTING_NAME_PATTERN

_NOT_SHOWN: Final = r"(?!\n)"
_WORDS: Final = (
    (f"text that matches {PITCH_PATTERN}", "a pitch such as C4, F#3 or Bb4"),
    (
        f"text of at most 64 characters that matches {NAME_PATTERN}",
        "at most 64 lower-case letters and digits with single hyphens between, such as c-major",
    ),
    (
        f"text of at most 40 characters that matches {SETTING_NAME_PATTERN}",
        "at most 40 lower-case letters and digits with single underscores between, a letter first",
    ),
    (" or null", ""),
    (
        "text of 1 to 400 characters or an object",
        "text of 1 to 400 characters, or a table with by, one, other",
    ),
    ("a whole number or a number", "a number"),
    ("an object", "a table"),
)


def accepted_in_toml(accepted: str) -> str:
    """Return a phrase about a JSON Schema in these words."""
    for schema_words, words in _WORDS:
        accepted = accepted.replace(schema_words.replace(_NOT_SHOWN, ""), words)
    return accepted
