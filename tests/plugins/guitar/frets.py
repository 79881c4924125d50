"""Frets and fingers as pitches, by counting semitones, and the spellings of music21."""

import re
from collections.abc import Callable, Iterable, Sequence

from music21.instrument import Guitar
from music21.pitch import Pitch

OCTAVE = 12
GUITAR: Callable[[], Guitar] = Guitar
# music21 10.5.1 has the strings as they sound; the guitar is written an octave higher (handbooks of orchestration).
OPEN = {
    string: int(sounding.midi) + OCTAVE
    for string, sounding in zip((6, 5, 4, 3, 2, 1), GUITAR().stringPitches, strict=True)
}
POSITIONS = ("", "I", "II", "III", "IV", "V", "VI", "VII", "VIII", "IX", "X", "XI", "XII", "XIII", "XIV")


def midi(name: str) -> int:
    """The number of a pitch name of the catalogue: F#3, Bb4, or with a sign of music, B♭4."""
    return int(Pitch(for_music21(name)).midi)


def for_music21(name: str) -> str:
    """A note name as music21 writes it: flats are minus signs."""
    plain = name.replace("♭", "b").replace("♯", "#")
    return plain[0] + plain[1:].replace("b", "-")


def shown(pitch: Pitch) -> str:
    """A note of music21 as the catalogue shows it, without the octave."""
    return str(pitch.name).replace("-", "♭").replace("#", "♯")


def tonic(label: str) -> str:
    """The key note of a label such as "B flat major", for music21."""
    letter, *rest = label.split(" ")
    return letter + {"flat": "-", "sharp": "#"}.get(rest[0] if rest else "", "")


def grip_frets(grip: str) -> list[int | None]:
    """The frets of a grip from its lowest string to its highest: x32010, or with hyphens from 10 up."""
    frets = grip.split("-") if "-" in grip else list(grip)
    return [None if fret == "x" else int(fret) for fret in frets]


def grip_pitches(grip: str, strings: Sequence[int] = (6, 5, 4, 3, 2, 1)) -> list[int]:
    pairs = zip(strings, grip_frets(grip), strict=True)
    return [OPEN[string] + fret for string, fret in pairs if fret is not None]


def by_strings(groups: str, strings: Iterable[int], first_fret: int = 0) -> list[int]:
    """Pitches of groups such as "0-2-4, 1-3", one a string, each number so many frets above the first."""
    return [
        OPEN[string] + first_fret + int(number)
        for string, group in zip(strings, groups.split(", "), strict=True)
        for number in group.split("-")
    ]


def by_fingers(groups: str, strings: Iterable[int], position: int) -> list[int]:
    """Pitches where finger 1 is at the fret of the position, one finger a fret."""
    return by_strings(groups, strings, position - 1)


def strings_of(words: str) -> list[int]:
    """`strings 6 to 3`, `strings 6 and 5`, `string 1`."""
    numbers = [int(number) for number in re.findall(r"\d", words)]
    return list(range(numbers[0], numbers[-1] - 1, -1))


def position_number(roman: str) -> int:
    return POSITIONS.index(roman)
