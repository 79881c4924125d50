"""Pitch names between the catalogue and music21, the outside reference for spelling."""

from music21.pitch import Pitch

ACCIDENTALS = {"": "", "#": " sharp", "b": " flat"}


def pitch(name: str) -> Pitch:
    """A name such as Bb3 or F#4 as music21 has it: there flats are minus signs."""
    return Pitch(name[0] + name[1:].replace("b", "-"))


def midi(name: str) -> int:
    return int(pitch(name).midi)


def named(found: Pitch) -> str:
    """A pitch of music21 as F#4 or Bb3."""
    return f"{letter(found)}{found.octave}"


def letter(found: Pitch) -> str:
    return found.step + (found.accidental.modifier.replace("-", "b") if found.accidental else "")


def spoken(name: str) -> str:
    """Bb3 or Bb as B flat."""
    bare = name.rstrip("0123456789")
    return bare[0] + ACCIDENTALS[bare[1:]]
