"""What TOML can say and the form of a catalogue does not."""

import datetime as dt
import math
import re
from typing import Final

from bagatelle.decode import LARGEST_WHOLE_NUMBER
from bagatelle.json_pointer import leaves, pointer_to

# Control characters but tab and line feed, and those that turn the direction of a text: they may hide what stands
# in a catalogue, or take over a terminal that shows it.
_UNSEEN: Final = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069]")
TOO_LARGE: Final = f"is too large (accepted: at most {LARGEST_WHOLE_NUMBER})"
DEPTH_LIMIT: Final = 32
"""Of tables and lists in one another; the form itself needs eight."""


def strange(document: dict[str, object]) -> list[tuple[str, str]]:
    """Return the JSON Pointer of every such value, and what is strange about it."""
    found: dict[tuple[str | int, ...], str] = {}
    for path, value in leaves(document, deepest=DEPTH_LIMIT):
        for depth, name in enumerate(path):
            if isinstance(name, str) and (what := _hidden(name)):
                found[path[:depth]] = f"a name in it {what}"
        if what := _strangeness(value):
            found[path] = what
    return [(pointer_to(path), what) for path, what in found.items()]


def _strangeness(value: object) -> str | None:
    if isinstance(value, dict | list):
        return f"is nested too deep (accepted: at most {DEPTH_LIMIT} tables and lists in one another)"
    if isinstance(value, str):
        return _hidden(value)
    if isinstance(value, dt.date | dt.time):
        return "is a date or a time, and the form has none (in quotes it is a text)"
    if isinstance(value, int) and abs(value) > LARGEST_WHOLE_NUMBER:
        return TOO_LARGE
    if isinstance(value, float) and not math.isfinite(value):
        return f"is {value} (accepted: a finite number)"
    return None


def _hidden(text: str) -> str | None:
    if text.isprintable():
        return None
    unseen = _UNSEEN.search(text)
    return (
        f"holds the character U+{ord(unseen[0]):04X}, which shows as nothing or turns text"
        if unseen
        else None
    )
