"""What TOML can say and the form of a catalogue does not."""

import datetime as dt
import math
import re
from collections.abc import Iterator
from typing import Final

from bagatelle.json_pointer import pointer_to

# Control characters but tab and line feed, and those that turn the direction of a text: they may hide what stands
# in a catalogue, or take over a terminal that shows it.
_UNSEEN: Final = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069]")


def strange(document: dict[str, object]) -> list[tuple[str, str]]:
    """Return the JSON Pointer of every such value, and what is strange about it."""
    return list(_found(document, ())) if _holds_any(document) else []


def _holds_any(document: dict[str, object]) -> bool:
    """Whether there is anything to find: nearly never, and asked without keeping track of where."""
    texts: list[str] = []
    waiting: list[object] = [document]
    while waiting:
        each = waiting.pop()
        if isinstance(each, str):
            texts.append(each)
        elif isinstance(each, dict):
            waiting.extend(each.values())
        elif isinstance(each, list):
            waiting.extend(each)
        elif isinstance(each, dt.date | dt.time) or (isinstance(each, float) and not math.isfinite(each)):
            return True
    return _UNSEEN.search("\n".join(texts)) is not None


def _found(value: object, path: tuple[str | int, ...]) -> Iterator[tuple[str, str]]:
    if isinstance(value, dict):
        for name, part in value.items():
            yield from _found(part, (*path, name))
    elif isinstance(value, list):
        for position, part in enumerate(value):
            yield from _found(part, (*path, position))
    elif isinstance(value, dt.date | dt.time):
        yield pointer_to(path), "is a date or a time, and the form has none (in quotes it is a text)"
    elif isinstance(value, str) and (found := _UNSEEN.search(value)):
        yield (
            pointer_to(path),
            f"holds the character U+{ord(found[0]):04X}, which shows as nothing or turns text",
        )
    elif isinstance(value, float) and not math.isfinite(value):
        yield pointer_to(path), f"is {value} (accepted: a finite number)"
