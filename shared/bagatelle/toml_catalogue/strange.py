"""What TOML can say and the form of a catalogue does not."""

import datetime as dt
import math
import re
from typing import Final

from bagatelle.json_pointer import leaves, pointer_to

# Control characters but tab and line feed, and those that turn the direction of a text: they may hide what stands
# in a catalogue, or take over a terminal that shows it.
_UNSEEN: Final = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069]")


def strange(document: dict[str, object]) -> list[tuple[str, str]]:
    """Return the JSON Pointer of every such value, and what is strange about it."""
    found = ((path, _strangeness(value)) for path, value in leaves(document))
    return [(pointer_to(path), what) for path, what in found if what is not None]


def _strangeness(value: object) -> str | None:
    if isinstance(value, str):
        unseen = _UNSEEN.search(value)
        return (
            f"holds the character U+{ord(unseen[0]):04X}, which shows as nothing or turns text"
            if unseen
            else None
        )
    if isinstance(value, dt.date | dt.time):
        return "is a date or a time, and the form has none (in quotes it is a text)"
    if isinstance(value, float) and not math.isfinite(value):
        return f"is {value} (accepted: a finite number)"
    return None
