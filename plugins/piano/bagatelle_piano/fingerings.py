"""Which finger goes on which note of a scale or arpeggio (1 = thumb, 5 = little finger).

A fingering is written `first cycle last`: the finger on the first note, the fingers of one octave as they
come round in the middle of a run, and the finger on the last note. Coming down is the reverse.
"""

from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from typing import Final, Literal, NamedTuple

import msgspec
from bagatelle.contract import Message, Value

Hands = Literal["right", "left", "together", "separately"]
End = Literal["top", "bottom"]

_OCTAVES_WRITTEN_OUT: Final = 2
"""Longer runs are said by one octave and how they end: nobody reads thirty figures."""


class Hand(NamedTuple):
    """Fingers of one hand in the direction of play, one digit a note."""

    first: str
    cycle: str
    last: str

    def written(self, octaves: int) -> str:
        """Every finger of a run, octaves set apart by a space: `1 1231234 5` over two: `1231234 12312345`."""
        return " ".join([self.first + self.cycle[1:], *[self.cycle] * (octaves - 1)]) + self.last

    def back(self) -> "Hand":
        """The same fingers the other way."""
        return Hand(self.last, self.cycle[0] + self.cycle[:0:-1], self.first)

    def shown(self, octaves: int, end: End) -> Value:
        """What a player needs: every finger of a short run; of a longer one an octave and its end."""
        if octaves <= _OCTAVES_WRITTEN_OUT:
            return self.written(octaves)
        first = self.first + self.cycle[1:]
        said: dict[str, Value] = {"octave": self.cycle, "finger": self.last}
        if first == self.cycle:
            return Message(f"piano.fingering.repeating.{end}", said)
        return Message(f"piano.fingering.then-repeating.{end}", said | {"first": first})


class Fingering(NamedTuple):
    """Fingers of both hands."""

    right: Hand
    left: Hand


class _Entry(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    keys: tuple[str, ...]
    right: str
    left: str


@cache
def _table() -> Mapping[str, dict[str, Fingering]]:
    text = files("bagatelle_piano").joinpath("fingerings.json").read_bytes()
    table = msgspec.json.decode(text, type=dict[str, tuple[_Entry, ...]])
    return {
        kind: {key: Fingering(hand(entry.right), hand(entry.left)) for entry in entries for key in entry.keys}
        for kind, entries in table.items()
    }


def hand(pattern: str) -> Hand:
    """Read one hand's fingers, written `first cycle last`."""
    return Hand(*pattern.split(" "))


def fingering(kind: str, key: str) -> Fingering | None:
    """Fingering of a kind of the table (`major`, `minor triad`) going up in a key; None where none is settled."""
    return _table()[kind].get(key)


@cache
def fingers_of_run(
    up: Fingering | None, hands: Hands, octaves: int, *, down: Fingering | None = None
) -> Message | None:
    """Say a fingering for the hands that play; of `down` (written going up too) only what is not as in `up`."""
    if up is None:
        return None
    there = fingers_of_hands(up.right.shown(octaves, "top"), up.left.shown(octaves, "top"), hands)
    back = _coming_down(up, down, hands, octaves) if down else ()
    return Message("piano.fingering.up-and-down", {"up": there, "down": back}) if back else there


def _coming_down(up: Fingering, down: Fingering, hands: Hands, octaves: int) -> tuple[Message, ...]:
    playing = ("right", "left") if hands in {"together", "separately"} else (hands,)
    return tuple(
        Message(f"piano.fingering.{name}", {"fingers": other.back().shown(octaves, "bottom")})
        for name, usual, other in zip(Fingering._fields, up, down, strict=True)
        if name in playing and other != usual
    )


def fingers_of_hands(right: Value, left: Value, hands: Hands) -> Message:
    """Say which fingers the hands that play have, once where they have the same."""
    if hands == "right":
        return Message("piano.fingering.right", {"fingers": right})
    if hands == "left":
        return Message("piano.fingering.left", {"fingers": left})
    if right == left:
        return Message("piano.fingering.both", {"fingers": right})
    return Message("piano.fingering.hands", {"right": right, "left": left})
