"""How low and how high grips, open strings and harmonics go: by counting frets from the open strings of music21."""

import re
from collections.abc import Mapping, Sequence

import pytest

from tests.plugins.guitar.frets import OCTAVE, OPEN, grip_pitches
from tests.plugins.guitar.loaded import Row, choices, exercises, material

EVERY_STRING = (6, 5, 4, 3, 2, 1)
# Exercise: the setting that it makes units of, its list, the strings of the grips.
GRIPS: Mapping[str, tuple[str, str, Sequence[int]]] = {
    "chord-changes": ("changes", "chord-change", EVERY_STRING),
    "cadences": ("keys", "cadence", EVERY_STRING),
    "melody-in-arpeggio": ("progressions", "progression", EVERY_STRING),
    "arpeggio-changes": ("progressions", "progression", EVERY_STRING),
    "block-chords": ("progressions", "progression", EVERY_STRING),
    "strummed-changes": ("progressions", "progression", EVERY_STRING),
    "triads": ("chords", "triad", (3, 2, 1)),
    "sweep": ("chords", "triad", (3, 2, 1)),
    "drop-two": ("chords", "drop-two", (4, 3, 2, 1)),
}


def reach_of(exercise: str, **settings: object) -> tuple[int | None, int | None]:
    """The ends of the only unit."""
    (unit,) = material(exercise, {**exercises()[exercise].defaults, **settings}).units
    return unit.lowest_pitch, unit.highest_pitch


def ends(pitches: Sequence[int]) -> tuple[int, int]:
    return min(pitches), max(pitches)


def grips_of(row: Row, strings: Sequence[int]) -> list[str]:
    """As in `xx0232, G 320003` and `x32010 to x02210`."""
    if len(strings) == len(EVERY_STRING):
        return re.findall(r"[x0-9]{6}", row["grips"])
    return list(row["grips"].split(", "))


@pytest.mark.parametrize("exercise", GRIPS)
def test_grips(exercise: str) -> None:
    setting, name, strings = GRIPS[exercise]
    for row in choices(name).values():
        grips = grips_of(row, strings)
        assert len(grips) == row["grips"].count(", ") + row["grips"].count(" to ") + 1
        sounding = [pitch for grip in grips for pitch in grip_pitches(grip, strings)]
        assert reach_of(exercise, **{setting: [row["name"]]}) == ends(sounding), row["name"]


@pytest.mark.parametrize("row", choices("open-chord").values(), ids=lambda row: row["name"])
def test_bass_and_strum_of_one_grip(row: Row) -> None:
    chosen = {"chord": row["name"], "metres": ["four-four"]}
    assert reach_of("bass-strum", **chosen) == ends(grip_pitches(row["grip"]))


@pytest.mark.parametrize("bass", [4, 5, 6])
@pytest.mark.parametrize("pattern", choices("arpeggio"))
def test_open_strings_under_the_fingers(pattern: str, bass: int) -> None:
    """P is on the bass, i, m and a on strings 3, 2 and 1."""
    strings = {"p": bass, "i": 3, "m": 2, "a": 1}
    sounding = [OPEN[strings[finger]] for finger in pattern.split("-")]
    assert reach_of("open-arpeggio", patterns=[pattern], bass=bass) == ends(sounding)


@pytest.mark.parametrize(
    ("exercise", "setting", "name", "column"),
    [("stopping-basses", "pairs", "bass-pair", "way"), ("plectrum-crossing", "ways", "crossing", "strokes")],
)
def test_open_strings_that_the_texts_name(exercise: str, setting: str, name: str, column: str) -> None:
    for row in choices(name).values():
        sounding = [OPEN[int(number)] for number in re.findall(r"\d", row[column])]
        assert reach_of(exercise, **{setting: [row["name"]]}) == ends(sounding)


@pytest.mark.parametrize("string", EVERY_STRING)
def test_artificial_harmonics_sound_an_octave_above_frets_1_to_4(string: int) -> None:
    """Touched twelve frets above the stopped one, the string speaks in halves: an octave (physics of strings)."""
    stopped = [OPEN[string] + fret for fret in (1, 2, 3, 4)]
    expected = ends([pitch + OCTAVE for pitch in stopped])
    assert reach_of("artificial-harmonics", strings=[f"string-{string}"]) == expected


@pytest.mark.parametrize("row", choices("interval").values(), ids=lambda row: row["name"])
def test_intervals_stand_on_four_frets_of_the_two_lowest_strings(row: Row) -> None:
    below = [OPEN[string] + fret for string in (6, 5) for fret in (3, 5, 7, 9)]
    above = [pitch + row["semitones"] for pitch in below]
    assert reach_of("interval-shapes", intervals=[row["name"]]) == ends([*below, *above])
