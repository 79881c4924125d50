"""The closed grammar of text templates, parsed once at load.

A template is plain text with gaps `{name}`: a lower-case letter, then lower-case letters, digits and `_`.
Nothing else may stand in braces, and a brace of its own cannot be written. A plural template is a mapping
with `by` (the parameter whose number decides), `other`, and the language's other plural categories.
"""

import re
from collections.abc import Callable, Mapping
from functools import lru_cache
from typing import Final

from msgspec import Struct

from bagatelle.model.exercise import Template
from bagatelle.wording.errors import TemplateError

_GAP: Final = re.compile(r"\{([a-z][a-z0-9_]*)\}")


def _english_category(number: float) -> str:
    # CLDR 44, cardinal rule of English: one is i = 1 and v = 0, the integer 1 without visible decimals.
    # Whole floats are shown without decimals, so 1.0 counts as 1.
    return "one" if number == 1 else "other"


PLURAL_CATEGORIES: Final[Mapping[str, frozenset[str]]] = {"en": frozenset({"one", "other"})}
"""By language, the categories that a plural template may have."""
_PLURAL_RULES: Final[Mapping[str, Callable[[float], str]]] = {"en": _english_category}


class Pattern(Struct, frozen=True):
    """A parsed text."""

    beginning: str
    """What stands before the first gap; the whole text where there is none."""
    gaps: tuple[tuple[str, str], ...]
    """The name of each gap, with what stands between it and the next."""


class Plural(Struct, frozen=True):
    """A parsed plural template: the deciding parameter, and a pattern for each category."""

    by: str
    patterns: Mapping[str, Pattern]
    category: Callable[[float], str]

    def choose(self, number: float) -> Pattern:
        """Return the pattern for a number, `other` where the template has none for its category."""
        return self.patterns.get(self.category(number)) or self.patterns["other"]


def parse(message: str, locale: str, template: Template) -> Pattern | Plural:
    """Parse one template.

    :raises TemplateError: where it breaks the grammar; says what is wrong.
    """
    if isinstance(template, str):
        return _pattern(message, template)
    language = locale.partition("-")[0]
    rule_language = language if language in _PLURAL_RULES else "en"
    allowed = PLURAL_CATEGORIES[rule_language] | {"by"}
    if not {"by", "other"} <= template.keys() <= allowed:
        names = ", ".join(sorted(allowed))
        raise TemplateError(message, f"a plural template needs `by` and `other`, and may only have: {names}")
    if not _GAP.fullmatch("{" + template["by"] + "}"):
        raise TemplateError(message, f"`by` must be the name of a parameter, not {template['by']!r}")
    patterns = {name: _pattern(message, text) for name, text in template.items() if name != "by"}
    return Plural(template["by"], patterns, _PLURAL_RULES[rule_language])


def _pattern(message: str, text: str) -> Pattern:
    found = _parsed(text)
    if isinstance(found, str):
        raise TemplateError(
            message, f"only gaps such as {{name}} may stand in braces, and here is {found.strip()!r}"
        )
    return found


# Each text is looked at when its plugin is examined, and once more when all are put together.
@lru_cache(maxsize=32_768)
def _parsed(text: str) -> Pattern | str:
    """The pattern, or else the part that cannot stand in one."""
    pieces = _GAP.split(text)
    literals, names = pieces[::2], pieces[1::2]
    wrong = next((literal for literal in literals if "{" in literal or "}" in literal), None)
    return Pattern(literals[0], tuple(zip(names, literals[1:], strict=True))) if wrong is None else wrong
