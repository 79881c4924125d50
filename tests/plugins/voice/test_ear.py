"""Intervals, chords, scales and sol-fa against music21."""

import re
from collections.abc import Mapping
from fractions import Fraction
from itertools import pairwise
from typing import Final

import pytest
from music21.chord import Chord
from music21.interval import Interval
from music21.key import Key
from music21.pitch import Pitch

from tests.plugins.voice.degrees import above_held_note, above_keynote, notes
from tests.plugins.voice.loaded import choices
from tests.plugins.voice.published import INTERVALS

QUALITIES: Final = ("major", "minor", "diminished", "augmented")
DEGREES: Final = {"re": 2, "mi": 3, "fa": 4, "so": 5, "la": 6, "ti": 7}
# Movable do with C as do, as schools spell it; the raised so is si.
SYLLABLES: Final = {
    "C": "do",
    "D": "re",
    "E": "mi",
    "F": "fa",
    "G": "so",
    "G#": "si",
    "A": "la",
    "B": "ti",
}


def harmonic(natural: list[Pitch]) -> list[Pitch]:
    """The minor scale with its seventh note a semitone higher."""
    return [*natural[:6], natural[6].transpose("A1"), natural[7]]


# By name, the scale as it lies on the white keys (but for the raised seventh of harmonic minor).
SCALES: Final[Mapping[str, list[Pitch]]] = {
    "major": Key("C", "major").pitches,
    "natural-minor": Key("A", "minor").pitches,
    "harmonic-minor": harmonic(Key("A", "minor").pitches),
    "dorian": Key("D", "dorian").pitches,
    "mixolydian": Key("G", "mixolydian").pitches,
}


def test_intervals_have_the_semitones_of_music21() -> None:
    assert {name: row["semitones"] for name, row in choices("interval").items()} == {
        name: Interval(short).semitones for name, short in INTERVALS.items()
    }


def test_intervals_come_from_narrow_to_wide() -> None:
    semitones = [row["semitones"] for row in choices("interval").values()]
    assert semitones == sorted(semitones)


@pytest.mark.parametrize("name", list(SCALES))
def test_a_scale_has_the_steps_of_music21_and_the_syllables_of_its_notes(name: str) -> None:
    found = SCALES[name]
    row = choices("scale")[name]
    steps = [int(Interval(low, high).semitones) for low, high in pairwise(found)]
    assert [int(step) for step in row["steps"].split()] == steps
    assert row["syllables"].split() == [SYLLABLES[pitch.name] for pitch in found]


def test_the_list_of_scales_is_tested_whole() -> None:
    assert list(choices("scale")) == list(SCALES)


@pytest.mark.parametrize("name", list(choices("chord")))
def test_a_chord_is_what_music21_calls_it_and_ends_where_it_is_said_to(name: str) -> None:
    row = choices("chord")[name]
    above = [int(each) for each in row["way"].partition("semitones ")[2].split()]
    chord = Chord([60 + each for each in above])
    assert chord.quality == name if name in QUALITIES else chord.isDominantSeventh()
    assert row["semitones"] == above[-1]
    assert row["beats"] == 2 * len(above) - 1 + 4


@pytest.mark.parametrize("name", ["major", "minor", "diminished", "dominant-seventh"])
def test_the_syllables_of_a_chord_name_its_notes(name: str) -> None:
    """From the root up and down, in movable do."""
    syllables = choices("chord")[name]["way"].partition(",")[0].split()
    by_syllable = {SYLLABLES[pitch.name]: pitch for pitch in SCALES["major"]}
    up = syllables[: len(syllables) // 2 + 1]
    assert syllables == [*up, *reversed(up[:-1])]
    root = by_syllable[up[0]].midi
    assert [(by_syllable[each].midi - root) % 12 for each in up] == [
        int(each) for each in choices("chord")[name]["way"].partition("semitones ")[2].split()
    ]


def test_degrees_against_the_drone_lie_where_the_major_scale_has_them() -> None:
    scale = SCALES["major"]
    assert {name: row["above"] for name, row in choices("degree").items()} == {
        name: scale[degree - 1].midi - scale[0].midi for name, degree in DEGREES.items()
    }


def test_the_pure_third_is_said_to_be_lower_than_the_pianos() -> None:
    """5/4 against four twelfths of an octave: some 14 cents."""
    assert 5 / 4 < 2 ** (4 / 12)
    assert "lower" in choices("degree")["mi"]["way"]


def test_the_seventh_is_tuned_as_a_pure_third_above_the_pure_fifth() -> None:
    """15/8 against eleven twelfths of an octave: some 12 cents lower than on the piano, so that it locks."""
    assert Fraction(3, 2) * Fraction(5, 4) == Fraction(15, 8)
    assert 15 / 8 < 2 ** (11 / 12)
    assert choices("degree")["ti"]["way"].endswith("a pure third above the fifth")


# By name, the steps of a cell as its name says them, from the bottom.
CELLS: Final[Mapping[str, tuple[str, str]]] = {
    "semitone-and-fourth": ("m2", "P4"),
    "semitone-and-minor-third": ("m2", "m3"),
    "semitone-and-major-third": ("m2", "M3"),
    "tone-and-major-third": ("M2", "M3"),
    "two-semitones": ("m2", "m2"),
}


def test_the_list_of_cells_is_tested_whole() -> None:
    assert list(choices("cell")) == list(CELLS)


@pytest.mark.parametrize("cell", list(CELLS))
def test_a_phrase_without_a_key_is_two_cells_of_its_label_and_the_held_note_again(cell: str) -> None:
    first, second = (int(Interval(step).semitones) for step in CELLS[cell])
    named = [int(each) for each in choices("cell")[cell]["label"].split("-")]
    assert named == [0, first, first + second]
    *six, last = above_held_note(cell)
    assert six[0] == last == 0
    assert len(set(six)) == 6
    for three in (six[:3], six[3:]):
        assert Chord([60 + each for each in three]).primeForm == named
    assert choices("cell")[cell]["semitones"] == max(six)


@pytest.mark.parametrize("cell", list(CELLS))
def test_a_phrase_without_a_key_fits_no_major_scale(cell: str) -> None:
    scale = {pitch.pitchClass for pitch in SCALES["major"]}
    for keynote in range(12):
        assert not {(each + keynote) % 12 for each in above_held_note(cell)} <= scale


@pytest.mark.parametrize("figure", list(choices("sequence")))
def test_a_figure_of_a_sequence_falls_a_semitone_into_the_next_key(figure: str) -> None:
    label = choices("sequence")[figure]["label"]
    degrees = [above_keynote(int(degree)) for degree in label.split("-")]
    assert notes(label) == 8
    assert degrees[0] == 0
    assert degrees[-1] - 1 == 1
    assert choices("sequence")[figure]["semitones"] == max(degrees)


@pytest.mark.parametrize("cadenza", list(choices("cadenza")))
def test_a_cadenza_ends_by_a_trill_on_the_second_degree(cadenza: str) -> None:
    assert re.search(r"a trill on 2, 1$|\b2, a trill on (?:it|the 2), 1$", choices("cadenza")[cadenza]["way"])


def test_broken_thirds_of_the_cadenza_are_thirds_that_fall_by_step() -> None:
    degrees = [int(each) for each in choices("cadenza")["broken-thirds"]["way"].partition(",")[0].split("-")]
    pairs = list(zip(degrees[::2], degrees[1::2], strict=True))
    assert {high - low for high, low in pairs} == {2}
    assert [high for high, _ in pairs] == list(range(8, 3, -1))
