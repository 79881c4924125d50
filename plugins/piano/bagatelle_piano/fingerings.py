"""Which finger goes on which note of a scale or arpeggio (1 = thumb, 5 = little finger).

A fingering is written `start cycle end`: the finger on the first note, the fingers of one octave as they come
round in the middle of a run, and the finger on the last note at the top. Coming down is the reverse.
"""

from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from typing import Literal, NamedTuple

import msgspec
from bagatelle.contract import Message

Way = Literal["up", "out", "through"]
Hands = Literal["right", "left", "together", "separately"]


class Fingering(NamedTuple):
    """Fingers of both hands going up, one digit a note, octaves set apart by a space."""

    right: str
    left: str


class _Entry(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    keys: tuple[str, ...]
    right: str
    left: str


@cache
def _table() -> Mapping[str, dict[str, _Entry]]:
    text = files("bagatelle_piano").joinpath("fingerings.json").read_bytes()
    table = msgspec.json.decode(text, type=dict[str, tuple[_Entry, ...]])
    return {kind: {key: entry for entry in entries for key in entry.keys} for kind, entries in table.items()}


def fingering(kind: str, key: str, octaves: int) -> Fingering | None:
    """Fingering of a kind of the table (`major`, `minor triad`) in a key; None where none is settled."""
    entry = _table()[kind].get(key)
    return Fingering(run(entry.right, octaves), run(entry.left, octaves)) if entry else None


def run(pattern: str, octaves: int) -> str:
    """Write a pattern out over some octaves: `1 1231234 5` over two is `1231234 12312345`."""
    start, cycle, end = pattern.split(" ")
    return " ".join([start + cycle[1:], *[cycle] * (octaves - 1)]) + end


def fingers_shown(
    fingers: Fingering | None, hands: Hands, *, down: Fingering | None = None, way: Way = "up"
) -> Message | None:
    """Write a fingering for the hands that play; `down` where it is not the reverse of the way there."""
    if fingers is None:
        return None
    shown = _both_hands(fingers, hands)
    if down is None:
        return Message(f"piano.fingering.{way}", {"fingers": shown})
    return Message("piano.fingering.up-and-down", {"up": shown, "down": _both_hands(_reversed(down), hands)})


def _both_hands(fingers: Fingering, hands: Hands) -> Message:
    if hands in {"right", "left"}:
        return Message(f"piano.fingering.{hands}", {"fingers": getattr(fingers, hands)})
    return Message("piano.fingering.hands", {"right": fingers.right, "left": fingers.left})


def _reversed(fingers: Fingering) -> Fingering:
    return Fingering(fingers.right[::-1], fingers.left[::-1])
