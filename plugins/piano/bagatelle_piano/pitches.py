"""Notes by spelling, and the keyboard that they must stay on.

A spelling is a place on the line of fifths: ... Bb = -2, F = -1, C = 0, G = 1, ... B = 5, F# = 6 ... The
letter and the accidental follow from it, so a scale or chord is a tonic plus fixed offsets.
"""

from functools import cache
from typing import Final, NamedTuple

from bagatelle.contract import Message

MIDDLE_OCTAVE: Final = 4
"""The octave of middle C."""
LOWEST_KEY: Final = 21
"""MIDI number of A0, the lowest key of a piano of 88."""
HIGHEST_KEY: Final = 108
"""MIDI number of C8, the highest."""

_LETTERS_BY_FIFTHS: Final = "FCGDAEB"
_LETTERS_BY_STEP: Final = "CDEFGAB"
_SEMITONES: Final = (0, 2, 4, 5, 7, 9, 11)
_ACCIDENTALS: Final = {-2: "bb", -1: "b", 0: "", 1: "#", 2: "##"}
_ACCIDENTAL_IDS: Final = {-2: "-double-flat", -1: "-flat", 0: "", 1: "-sharp", 2: "-double-sharp"}


class Note(NamedTuple):
    """One written note: its place on the line of fifths and its octave (C4 is middle C)."""

    fifths: int
    octave: int

    @property
    def step(self) -> int:
        """Place of the letter in C D E F G A B, from 0."""
        return _LETTERS_BY_STEP.index(_letter(self.fifths))

    @property
    def midi(self) -> int:
        """MIDI number; middle C is 60."""
        return 12 * (self.octave + 1) + _SEMITONES[self.step] + _accidental(self.fifths)

    @property
    def name(self) -> str:
        """As `F#4` or `Bb3`."""
        return f"{spelling_name(self.fifths)}{self.octave}"


class Reach(NamedTuple):
    """MIDI numbers of two keys."""

    lowest: int
    highest: int


def _letter(fifths: int) -> str:
    return _LETTERS_BY_FIFTHS[(fifths + 1) % 7]


def _accidental(fifths: int) -> int:
    return (fifths + 1) // 7


@cache
def spelling_name(fifths: int) -> str:
    """Name of a spelling as settings write it: `C`, `F#`, `Bb`."""
    return _letter(fifths) + _ACCIDENTALS[_accidental(fifths)]


@cache
def spelling_id(fifths: int) -> str:
    """Name of a spelling as unit ids and message ids write it: `C`, `F-sharp`, `B-flat`."""
    return _letter(fifths) + _ACCIDENTAL_IDS[_accidental(fifths)]


@cache
def spelling_of(name: str) -> int:
    """Place on the line of fifths of a name such as `F#`; `KeyError` or `ValueError` for no note name."""
    alteration = {text: value for value, text in _ACCIDENTALS.items()}[name[1:]]
    return _LETTERS_BY_FIFTHS.index(name[0]) - 1 + 7 * alteration


@cache
def spelt(fifths: int) -> Message:
    """The note as a message, for texts that show it by its sign (`F♯`)."""
    return Message(f"piano.note.{spelling_id(fifths)}")


@cache
def is_black(fifths: int) -> bool:
    """Whether the note is a black key."""
    return Note(fifths, 4).midi % 12 in {1, 3, 6, 8, 10}


@cache
def climb(cycle: tuple[int, ...], octave: int, steps: int) -> tuple[Note, ...]:
    """Climb through a cycle of spellings that repeats at the octave: `steps + 1` notes, rising.

    The first note is `cycle[0]` in the given octave.
    """
    notes = [Note(cycle[0], octave)]
    for index in range(1, steps + 1):
        following = Note(cycle[index % len(cycle)], notes[-1].octave)
        if following.step <= notes[-1].step:
            following = Note(following.fifths, following.octave + 1)
        notes.append(following)
    return tuple(notes)


def joined(fifths: tuple[int, ...]) -> Message:
    """Notes of one chord or figure as one word, three or four of them: `B♭-D-F`."""
    names = ("first", "second", "third", "fourth")
    notes = {name: spelt(each) for name, each in zip(names, fifths, strict=False)}
    return Message(f"piano.notes-joined.{len(fifths)}", notes)


@cache
def compass(notes: tuple[Note, ...]) -> Reach:
    """The lowest and the highest of these notes."""
    numbers = [note.midi for note in notes]
    return Reach(min(numbers), max(numbers))
