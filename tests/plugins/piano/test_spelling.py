"""Every key, scale and chord is spelt as music21 spells it."""

from collections.abc import Sequence

import pytest
from bagatelle_piano.chords import (
    CHORD_MODES,
    POSITIONS,
    ArpeggioChord,
    arpeggio_notes,
    broken_chord_notes,
    chord_notes,
)
from bagatelle_piano.keys import Mode, key_names
from bagatelle_piano.musicianship import GROUND
from bagatelle_piano.pitches import Note, spelling_name, spelling_of
from bagatelle_piano.scales import STARTING_NOTES, Form, chromatic_notes, scale_notes
from music21.key import Key
from music21.pitch import Pitch
from music21.roman import RomanNumeral
from music21.scale import (
    Direction,
    HarmonicMinorScale,
    MajorScale,
    MelodicMinorScale,
    MinorScale,
)

from tests.plugins.piano.keys_of_music21 import MAJOR_KEYS, MINOR_KEYS, for_music21, from_music21

SCALES = {
    "major": MajorScale,
    "natural": MinorScale,
    "harmonic": HarmonicMinorScale,
    "melodic": MelodicMinorScale,
}
KEYS_AND_FORMS = [(key, "major") for key in MAJOR_KEYS] + [
    (key, form) for key in MINOR_KEYS for form in ("natural", "harmonic", "melodic")
]


def test_key_lists_are_those_of_the_circle_of_fifths() -> None:
    assert key_names("major") == MAJOR_KEYS
    assert key_names("minor") == MINOR_KEYS


@pytest.mark.parametrize("mode", ["major", "minor"])
def test_circle_of_fifths_counts_the_sharps_and_flats_of_music21(mode: Mode) -> None:
    sharps = [Key(for_music21(name), mode).sharps for name in key_names(mode)]
    assert sharps == [0, 1, 2, 3, 4, 5, 6, 7, -1, -2, -3, -4, -5, -6, -7]


@pytest.mark.parametrize(("key", "form"), KEYS_AND_FORMS)
@pytest.mark.parametrize("octaves", [1, 2, 3, 4])
def test_scale(key: str, form: Form, octaves: int) -> None:
    tonic = Pitch(f"{for_music21(key)}3")
    top = Pitch(f"{for_music21(key)}{3 + octaves}")
    scale = SCALES[form](tonic)  # type: ignore[no-untyped-call] # music21 types its scales in part
    up = [from_music21(each) for each in scale.getPitches(tonic, top, direction=Direction.ASCENDING)]
    down = [from_music21(each) for each in scale.getPitches(tonic, top, direction=Direction.DESCENDING)]
    assert names(scale_notes(spelling_of(key), form, 3, octaves)) == up + down[1:]


@pytest.mark.parametrize("start", STARTING_NOTES)
def test_chromatic_scale_rises_and_falls_by_semitones(start: str) -> None:
    lowest = Pitch(f"{for_music21(start)}3").midi
    rising = list(range(lowest, lowest + 25))
    notes = chromatic_notes(spelling_of(start), 3, 2)
    assert [note.midi for note in notes] == rising + rising[-2::-1]
    assert [Pitch(for_music21(note.name)).midi for note in notes] == [note.midi for note in notes]


FIGURES: dict[ArpeggioChord, tuple[str, ...]] = {
    "major": ("I", "I6", "I64"),
    "minor": ("i", "i6", "i64"),
    "dominant-seventh": ("V7", "V65", "V43", "V42"),
    "diminished-seventh": ("viio7", "viio65", "viio43", "viio42"),
}


@pytest.mark.parametrize("chord", list(FIGURES))
@pytest.mark.parametrize("signature", range(15))
def test_arpeggio_chords_are_those_of_the_roman_numerals(chord: ArpeggioChord, signature: int) -> None:
    mode = CHORD_MODES[chord]
    key = key_names(mode)[signature]
    for position, figure in zip(POSITIONS, FIGURES[chord], strict=False):
        ours = [spelling_name(each) for each in chord_notes(spelling_of(key), chord, position)]
        numeral = RomanNumeral(figure, Key(for_music21(key), mode))
        assert ours == spelt(numeral.pitches), (key, figure)


@pytest.mark.parametrize("key", MINOR_KEYS)
def test_ground_falls_through_the_natural_minor_to_the_dominant(key: str) -> None:
    scale = MinorScale(for_music21(key))  # type: ignore[no-untyped-call] # music21 types its scales in part
    expected = [from_music21(scale.pitchFromDegree(degree))[:-1] for degree in (1, 7, 6, 5)]
    assert [spelling_name(spelling_of(key) + step) for step in GROUND] == expected


def test_arpeggio_climbs_without_gaps_and_comes_back() -> None:
    assert names(arpeggio_notes(chord_notes(0, "major", "first-inversion"), 3, 1)) == [
        *("E3", "G3", "C4", "E4"),
        *("C4", "G3", "E3"),
    ]


def test_broken_chord_goes_through_the_positions_and_back() -> None:
    groups = names(broken_chord_notes(chord_notes(0, "major", "root"), 4, 1))
    assert groups == [
        *("C4", "E4", "G4", "E4", "G4", "C5", "G4", "C5", "E5", "C5", "E5", "G5"),
        *("E5", "C5", "G4", "C5", "G4", "E4", "G4", "E4", "C4"),
    ]


def names(notes: Sequence[Note]) -> list[str]:
    return [note.name for note in notes]


def spelt(pitches: Sequence[Pitch]) -> list[str]:
    return [from_music21(pitch).rstrip("-0123456789") for pitch in pitches]
