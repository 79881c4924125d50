"""The closed grammar of gaps in a catalogue's texts, and how they become gaps of the engine's templates.

`{passes}`, `{passes.times}`, `{each.fingering}`, `{term.quavers}`: a name, and perhaps one more after a dot. In the
engine's templates, which know no dot, the two are joined by two underscores, which no name holds.
"""

import re
from collections.abc import Mapping
from typing import Final

from bagatelle.catalogue.text_rules import ENGINE_PARAMETERS
from bagatelle.model.exercise import Template

_COUNTED_TERMS: Final = (
    "semibreve",
    "minim",
    "dotted_minim",
    "crotchet",
    "dotted_crotchet",
    "quaver",
    "semiquaver",
    "bar",
)
TERMS: Final = (
    *(f"{name}{ending}" for name in _COUNTED_TERMS for ending in ("", "s")),
    "demisemiquavers",
    "triplet_quavers",
    "sextuplets",
    "metre",
    "practise",
)
"""Words that American English has otherwise: `{term.quavers}`."""
BEATS: Final = ("minim", "dotted_minim", "crotchet", "dotted_crotchet", "quaver", "semiquaver")
"""`{bpm.crotchet}` says "crotchet = 80"."""
RESERVED: Final = ENGINE_PARAMETERS | {"each", "term", "played"}
"""What no setting may be called."""
JOINT: Final = "__"
_GAP: Final = re.compile(r"\{([^{}]*)\}")
_NAME: Final = re.compile(r"([a-z][a-z0-9_]*)(?:\.([a-z][a-z0-9_]*))?")
ACCEPTED: Final = "{name} or {name.more}, lower-case, such as {passes.times}"


class PlaceholderError(ValueError):
    """A text has braces that hold no placeholder."""


def names_in(template: Template) -> frozenset[tuple[str, str | None]]:
    """Return the placeholders of a text, or of all its plurals, as name and what follows the dot.

    :raises PlaceholderError: where braces hold anything else.
    """
    if isinstance(template, Mapping):
        found = [names_in(text) for category, text in template.items() if category != "by"]
        by = template.get("by")
        return frozenset().union(*found, [(by, None)] if by else [])
    names = set()
    for content in _GAP.findall(template):
        found_name = _NAME.fullmatch(content)
        if found_name is None or JOINT in content:
            raise PlaceholderError(f"{{{content}}} is no placeholder (accepted: {ACCEPTED})")
        names.add((found_name[1], found_name[2]))
    if "{" in _GAP.sub("", template) or "}" in _GAP.sub("", template):
        raise PlaceholderError(f"a brace stands alone (accepted: {ACCEPTED})")
    return frozenset(names)


def parameter_name(name: str, more: str | None) -> str:
    """Return what a placeholder is called in the engine's templates."""
    return name if more is None else f"{name}{JOINT}{more}"


def engine_template(template: Template) -> Template:
    """Return a text, whose placeholders were found right, as a template of the engine."""
    if isinstance(template, Mapping):
        return {
            category: text if category == "by" else _with_joints(text) for category, text in template.items()
        }
    return _with_joints(template)


def _with_joints(text: str) -> str:
    return _GAP.sub(lambda found: found[0].replace(".", JOINT), text)
