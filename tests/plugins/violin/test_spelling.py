"""Keys, scales and chords are spelt as music21 spells them, and lie where the catalogue says."""

from collections.abc import Mapping
from typing import Any

import pytest
from music21.chord import Chord
from music21.interval import Interval
from music21.key import Key
from music21.roman import RomanNumeral

from tests.plugins.violin.loaded import choices, material
from tests.plugins.violin.pitches import OPEN_STRINGS, as_written, in_words, midi, pitch

Row = Mapping[str, Any]
# Signatures round the circle of fifths: sharps rising, then flats falling; common knowledge of music theory.
ROUND_THE_CIRCLE = [1, 2, 3, 4, 5, 6, -5, -4, -3, -2, -1, 0]


def tonic_of(row: Row, mode: str) -> Key:
    label = row["label"].removesuffix(f" {mode}").removesuffix(" natural")
    return Key(pitch(label).name.lower() if mode == "minor" else pitch(label).name, mode)


def test_major_keys_come_round_the_circle_of_fifths() -> None:
    assert [tonic_of(row, "major").sharps for row in choices("major-key")] == ROUND_THE_CIRCLE


def test_minor_keys_come_round_the_circle_of_fifths() -> None:
    signatures = [tonic_of(row, "minor").sharps for row in choices("minor-key")]
    assert signatures == [-2, -1, 0, 1, 2, 3, 4, 5, -6, -5, -4, -3]


@pytest.mark.parametrize(("list_name", "mode"), [("major-key", "major"), ("minor-key", "minor")])
def test_a_key_begins_on_its_lowest_tonic(list_name: str, mode: str) -> None:
    for row in choices(list_name):
        lowest = pitch(row["lowest"])
        assert lowest.name == tonic_of(row, mode).tonic.name
        assert 0 <= lowest.midi - midi("G3") < 12


def test_chromatic_scales_begin_on_each_of_the_twelve_notes_from_the_lowest_up() -> None:
    rows = choices("starting-note")
    assert [midi(row["lowest"]) for row in rows] == list(range(midi("G3"), midi("G3") + 12))
    for row in rows:
        assert row["label"] == in_words(pitch(row["lowest"]))


@pytest.mark.parametrize(
    ("exercise", "setting", "list_name"),
    [
        ("major-scales", "keys", "major-key"),
        ("minor-scales", "keys", "minor-key"),
        ("arpeggios", "chords", "triad"),
        ("seventh-arpeggios", "chords", "seventh"),
        ("chromatic-scales", "starts", "starting-note"),
    ],
)
@pytest.mark.parametrize("octaves", [1, 2, 3])
def test_compass_of_so_many_octaves(exercise: str, setting: str, list_name: str, octaves: int) -> None:
    rows = choices(list_name)
    made = material(exercise, octaves=octaves, **{setting: [row["name"] for row in rows]})
    for row, unit in zip(rows, made.units, strict=True):
        top = pitch(row["lowest"]).transpose(Interval("P8")).transpose(Interval(f"P{7 * (octaves - 1) + 1}"))
        assert (unit.lowest_pitch, unit.highest_pitch) == (midi(row["lowest"]), top.midi)


def as_it_rises(key: Key, degree: int) -> str:
    """The sixth or seventh degree of a minor key, a semitone higher as in the melodic scale going up."""
    raised = key.pitchFromDegree(degree).transpose("A1")
    return in_words(raised) if raised.alter else f"{raised.name} natural"


def test_scales_of_four_octaves_end_where_the_fingerboard_does() -> None:
    numbers = ("no", "one", "two", "three", "four")
    rows = choices("four-octave-key")
    for row in rows:
        mode = "minor" if "minor" in row["label"] else "major"
        assert ("melodic" in row["label"]) == (mode == "minor")
        key = tonic_of({"label": row["label"].replace(" melodic minor", " minor")}, mode)
        count = abs(key.sharps)
        kind = "sharp" if key.sharps > 0 else "flat"
        plural = "" if count == 1 else "s"
        expected = f"{numbers[count]} {kind}{plural}" if count else "no signature"
        if mode == "minor":
            raised = [as_it_rises(key, degree) for degree in (6, 7)]
            expected += f"; {raised[0]} and {raised[1]} going up"
        assert row["signature"] == expected
        lowest = pitch(row["lowest"])
        assert lowest.name == key.tonic.name
        assert pitch(row["highest"]) == lowest.transpose("P29")
        assert midi("G3") <= lowest.midi
        assert midi(row["highest"]) <= midi("A7")
        (unit,) = material("four-octave-scales", keys=[row["name"]]).units
        assert (unit.lowest_pitch, unit.highest_pitch) == (midi(row["lowest"]), midi(row["highest"]))
        assert (
            getattr(unit.timing, "notes", None)
            == 2 * len(key.getPitches(lowest, lowest.transpose("P29"))) - 1
        )
    assert {pitch(row["lowest"]).midi for row in rows} == set(range(midi("G3"), midi("A3") + 1))


def test_flying_staccato_is_as_long_down_as_up_on_eight_steps() -> None:
    steps = Key("A", "major").getPitches("A3", "A4")
    for unit, count in zip(material("flying-staccato").units, (4, 8, 12), strict=True):
        assert getattr(unit.timing, "notes", None) == len(steps) * (count + count)
        assert (unit.lowest_pitch, unit.highest_pitch) == (steps[0].midi, steps[-1].midi)


def test_triads() -> None:
    for row in choices("triad"):
        root, quality = row["label"].rsplit(" ", 1)
        chord = Chord([pitch(name) for name in row["notes"].split(", ")])
        assert chord.quality == quality
        assert in_words(chord.root()) == root == in_words(pitch(row["lowest"]))
        assert [in_words(each) for each in (chord.root(), chord.third, chord.fifth)] == row["notes"].split(
            ", "
        )
    assert len({row["name"] for row in choices("triad")}) == 24


def test_seventh_chords() -> None:
    rows = choices("seventh")
    for row in rows:
        kind, root = row["label"].split(" on ")
        chord = Chord([pitch(name) for name in row["notes"].split(", ")])
        assert {
            "dominant seventh": chord.isDominantSeventh(),
            "diminished seventh": chord.isDiminishedSeventh(),
        }[kind]
        assert in_words(chord.root()) == root == in_words(pitch(row["lowest"]))
    for kind in ("dominant", "diminished"):
        classes = {pitch(row["lowest"]).pitchClass for row in rows if kind in row["name"]}
        assert classes == set(range(12))


@pytest.mark.parametrize("row", choices("first-scale"), ids=lambda row: row["name"])
def test_first_scales_stay_in_first_position_and_repeat_their_tonic(row: Row) -> None:
    lowest, highest = pitch(row["lowest"]), pitch(row["highest"])
    mode = "minor" if row["label"].endswith("minor") else "major"
    tonic = pitch(row["label"].split(f" {mode}")[0].removesuffix(" natural"))
    assert tonic.name == lowest.name == highest.name
    assert highest.midi - lowest.midi == 12
    assert highest.midi <= midi(OPEN_STRINGS["E"]) + 7
    # No note lies where first position has none: each is an open string or one of the fingers' places.
    scale = Key(lowest.name.lower() if mode == "minor" else lowest.name, mode).getPitches(lowest, highest)
    for each in scale:
        assert any(0 <= each.midi - midi(name) <= 7 for name in OPEN_STRINGS.values())


def test_modes_over_an_open_string() -> None:
    """Mode from the signature of its relative major: Dorian on its second step, Mixolydian on its fifth."""
    relative = {"major": "P1", "Dorian": "M-2", "Mixolydian": "P-5", "minor": "m3"}
    for row in choices("mode"):
        drone = pitch(row["drone"])
        tonic, mode = row["label"].split(" ")
        parent = Key(drone.transpose(relative[mode]).name, "major")
        scale = list(parent.getPitches(drone, drone.transpose("P8")))[:7]
        assert row["notes"] == ", ".join(in_words(each) for each in scale)
        assert row["drone"] == OPEN_STRINGS[tonic]


def test_cadences_are_the_primary_triads() -> None:
    for row in choices("cadence-key"):
        key = tonic_of(row, "major")
        said = []
        for column, figure in (("tonic", "I"), ("subdominant", "IV"), ("dominant", "V")):
            notes = " ".join(in_words(each) for each in RomanNumeral(figure, key).pitches)
            assert row[column] == notes
            said.append(f"{figure} {notes}")
        assert row["says"] == "; ".join(said)
        assert pitch(row["lowest"]).name == key.tonic.name
        # The highest note, the fifth of V in root position above I: a ninth above the tonic.
        (unit,) = material("cadence-in-broken-chords", keys=[row["name"]]).units
        assert unit.highest_pitch == pitch(row["lowest"]).transpose("M9").midi


def test_broken_thirds_have_twenty_six_notes_and_rise_to_the_ninth() -> None:
    """Up in pairs 1-3 to 7-9, down from 8-6 to 3-1, counted."""
    up = [step for low in range(1, 8) for step in (low, low + 2)]
    down = [step for high in range(8, 2, -1) for step in (high, high - 2)]
    for row in choices("major-key"):
        (unit,) = material("broken-thirds", keys=[row["name"]]).units
        assert getattr(unit.timing, "notes", None) == len(up + down)
        assert unit.highest_pitch == pitch(row["lowest"]).transpose("M9").midi
    assert down[-1] == 1


def test_every_pitch_of_the_catalogue_is_written_as_music21_reads_it() -> None:
    lists = ("place", "shift", "changing-shift", "finger-pattern", "harmonic", "open-interval", "octaves-key")
    for name in lists:
        for row in choices(name):
            for value in row.values():
                if isinstance(value, str) and len(value) <= 3 and value[-1].isdigit() and value[0].isupper():
                    assert as_written(pitch(value)) == value
