"""The outside reference for spelling: music21, and the two lists of keys from the circle of fifths.

The lists are common knowledge of music theory (majors with 0 to 7 sharps, then 1 to 7 flats; relative minors
in the same order).
"""

from music21.pitch import Pitch

MAJOR_KEYS = ("C", "G", "D", "A", "E", "B", "F#", "C#", "F", "Bb", "Eb", "Ab", "Db", "Gb", "Cb")
MINOR_KEYS = ("A", "E", "B", "F#", "C#", "G#", "D#", "A#", "D", "G", "C", "F", "Bb", "Eb", "Ab")


def for_music21(name: str) -> str:
    """A note name as music21 writes it: flats are minus signs."""
    return name[0] + name[1:].replace("b", "-")


def from_music21(pitch: Pitch) -> str:
    """A music21 pitch as `F#4` or `Bb3`."""
    return (
        f"{pitch.step}{pitch.accidental.modifier.replace('-', 'b') if pitch.accidental else ''}{pitch.octave}"
    )
