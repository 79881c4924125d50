"""The outside reference for pitches: music21, and the open strings.

Open strings G3 D4 A4 E5: Wikipedia, Standard tuning; music21's own violin has the same (tested).
"""

from music21.pitch import Pitch

OPEN_STRINGS = {"G": "G3", "D": "D4", "A": "A4", "E": "E5"}
"""The lowest first."""
LETTERS = "CDEFGAB"
POSITIONS = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh")


def pitch(name: str) -> Pitch:
    """A pitch of music21 from `Bb4` or `B flat` (then without an octave); music21 writes flats as minus signs."""
    words = name.replace(" double flat", "bb").replace(" flat", "b").replace(" sharp", "#")
    return Pitch(words[0] + words[1:].replace("b", "-"))


def midi(name: str) -> int:
    return int(pitch(name).midi)


def in_words(each: Pitch) -> str:
    """A pitch of music21 as the catalogue's texts say it: `B flat`."""
    accidental = {0: "", 1: " sharp", -1: " flat", -2: " double flat"}[int(each.alter)]
    return f"{each.step}{accidental}"


def as_written(each: Pitch) -> str:
    """A pitch of music21 as the catalogue's columns write it: `Bb4`."""
    return str(each.nameWithOctave).replace("-", "b")


def steps_above(string: str, name: str) -> int:
    """How many steps of the staff a pitch lies above an open string."""
    return int(pitch(name).diatonicNoteNum - pitch(OPEN_STRINGS[string]).diatonicNoteNum)


def semitones_above(string: str, name: str) -> int:
    return midi(name) - midi(OPEN_STRINGS[string])
