"""Pitch names in scientific pitch notation, and the numbers that stand for them (MIDI: C4, middle C, is 60)."""

import re
from typing import Final

_NAME: Final = re.compile(r"([A-G])(##|bb|#|b)?(-?[0-9])")
_LETTERS: Final = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
_ACCIDENTALS: Final = {None: 0, "#": 1, "##": 2, "b": -1, "bb": -2}
_NAMES_BY_SHARPS: Final = ("C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B")
_OCTAVE: Final = 12


def pitch_number(name: str) -> int | None:
    """Return the number of a pitch name, F#3 for instance; None where it is no such name."""
    found = _NAME.fullmatch(name)
    if found is None:
        return None
    letter, accidental, octave = found.groups()
    return _OCTAVE * (int(octave) + 1) + _LETTERS[letter] + _ACCIDENTALS[accidental]


def pitch_name(number: int) -> str:
    """Return a name of a pitch number, a black key by its sharp."""
    octave, step = divmod(number, _OCTAVE)
    return f"{_NAMES_BY_SHARPS[step]}{octave - 1}"
