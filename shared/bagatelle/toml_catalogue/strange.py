"""What TOML can say and the form of a catalogue does not."""

import datetime as dt
import math
import re
from typing import Final

from bagatelle.decode import LARGEST_WHOLE_NUMBER
from bagatelle.json_pointer import pointer_to

# Control characters but tab and line feed, and those that turn the direction of a text: they may hide what stands
# in a catalogue, or take over a terminal that shows it.
_UNSEEN: Final = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069]")
TOO_LARGE: Final = f"is too large (accepted: at most {LARGEST_WHOLE_NUMBER})"
DEPTH_LIMIT: Final = 32
"""Of tables and lists in one another; the form itself needs eight."""


def strange(document: dict[str, object]) -> list[tuple[str, str]]:
    """Return the JSON Pointer of every such value, and what is strange about it."""
    return [] if _is_plain(document) else _found(document)


def _is_plain(document: dict[str, object]) -> bool:
    """Say whether nothing is strange, level by level: five times as fast as to keep all pointers."""
    level: list[dict[str, object] | list[object]] = [document]
    for _ in range(DEPTH_LIMIT):
        deeper = []
        for around in level:
            if isinstance(around, dict) and any(map(_hidden, around)):
                return False
            for value in around.values() if isinstance(around, dict) else around:
                if isinstance(value, dict | list):
                    deeper.append(value)
                elif _strangeness(value) is not None:
                    return False
        if not deeper:
            return True
        level = deeper
    return False


def _found(document: dict[str, object]) -> list[tuple[str, str]]:
    found = []
    waiting: list[tuple[tuple[str | int, ...], object]] = [((), document)]
    while waiting:
        path, value = waiting.pop()
        if isinstance(value, dict | list):
            if len(path) >= DEPTH_LIMIT:
                reason = (
                    f"is nested too deep (accepted: at most {DEPTH_LIMIT} tables and lists in one another)"
                )
                found.append((path, reason))
                continue
            if isinstance(value, dict):
                found.extend((path, f"a name in it {what}") for name in value if (what := _hidden(name)))
            parts = value.items() if isinstance(value, dict) else enumerate(value)
            waiting.extend(((*path, name), part) for name, part in parts)
        elif (what := _strangeness(value)) is not None:
            found.append((path, what))
    return [(pointer_to(path), what) for path, what in reversed(found)]


def _strangeness(value: object) -> str | None:
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
