"""Patterns by the degrees that their labels name: how many notes, and how high in semitones, by music21."""

from functools import cache
from typing import Final

from music21.interval import Interval
from music21.key import Key
from music21.pitch import Pitch

from tests.plugins.voice.loaded import choices

FIVE: Final = "1-2-3-4-5-4-3-2-1"
FIVE_DOWN: Final = "5-4-3-2-1"
TRIAD: Final = "1-3-5-3-1"
OCTAVE_ARPEGGIO: Final = "1-3-5-8-5-3-1"


def midi(name: str) -> int:
    """The number of a pitch, C4 being 60; flats as `b` or as a sign."""
    return int(Pitch(name.replace("♭", "-").replace("♯", "#").replace("b", "-")).midi)


def notes(degrees: str) -> int:
    return len(degrees.split("-"))


def semitones(degrees: str) -> int:
    """From the keynote to the highest degree, in major; fifths, octaves and twelfths are the same in minor."""
    return max(above_keynote(int(degree)) for degree in degrees.split("-"))


def above_held_note(cell: str) -> list[int]:
    """The notes of a phrase without a key, in semitones above the held one, as its words name them."""
    return [int(each) for each in choices("cell")[cell]["way"].partition(": ")[2].split()]


@cache
def above_keynote(degree: int) -> int:
    octaves, step = divmod(degree - 1, 7)
    scale = Key("C", "major").pitches
    return 12 * octaves + int(Interval(scale[0], scale[step]).semitones)
