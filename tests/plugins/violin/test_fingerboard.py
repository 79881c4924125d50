"""What lies under the fingers, against music21 and the offsets of the first position."""

from collections.abc import Mapping
from typing import Any

import pytest
from music21.instrument import StringInstrument, fromString
from music21.key import Key
from music21.pitch import Pitch

from tests.plugins.violin.loaded import choices, instruments
from tests.plugins.violin.pitches import (
    OPEN_STRINGS,
    POSITIONS,
    as_written,
    in_words,
    midi,
    pitch,
    semitones_above,
    steps_above,
)

Row = Mapping[str, Any]
NATURAL = Key("C", "major")
# Semitones above the open string in first position: brebru.com, violin page (A string), carried to the others.
FIRST_POSITION = {
    ("low first finger", 1),
    ("first finger", 2),
    ("low second finger", 3),
    ("high second finger", 4),
    ("third finger", 5),
    ("high third finger", 6),
    ("low fourth finger", 6),
    ("fourth finger", 7),
}


def music21_violin() -> StringInstrument:
    violin = fromString("violin")
    assert isinstance(violin, StringInstrument)
    return violin


def names(rows: list[Row]) -> list[str]:
    return [row["name"] for row in rows]


def natural_notes(string: str, first: int, last: int) -> list[Pitch]:
    """The natural notes from one step above an open string to another, by music21's scale of C major."""
    lowest = pitch(OPEN_STRINGS[string])
    found = NATURAL.getPitches(lowest, lowest.transpose("P29"))
    return list(found)[first : last + 1]


def test_open_strings_are_those_of_music21() -> None:
    expected = [as_written(each) for each in music21_violin().stringPitches]
    assert list(OPEN_STRINGS.values()) == expected
    assert [row["open"] for row in choices("string")] == expected
    assert [each.pitch for each in instruments().instruments[0].strings] == [midi(each) for each in expected]


def test_range_begins_with_the_lowest_string_and_ends_where_handbooks_end_it() -> None:
    """A7 as the highest note: orchestration handbooks, from memory."""
    violin = instruments().instruments[0]
    lowest = music21_violin().lowestNote
    assert lowest is not None
    assert violin.lowest_pitch == int(lowest.midi)
    assert violin.highest_pitch == midi("A7")


def test_neighbouring_strings_are_fifths() -> None:
    for row in [*choices("string-pair"), *choices("tuning-pair")]:
        assert midi(row["upper"]) - midi(row["lower"]) == 7
        assert {row["lower"], row["upper"]} <= set(OPEN_STRINGS.values())
    assert [row["tuned"] for row in choices("tuning-pair")] == ["D", "G", "E"]


@pytest.mark.parametrize("row", choices("place"), ids=names(choices("place")))
def test_four_fingers_of_a_position_lie_on_four_steps(row: Row) -> None:
    """In position p the first finger plays the p-th step above the open string."""
    expected = natural_notes(row["string"], row["position"], row["position"] + 3)
    assert row["notes"] == ", ".join(in_words(each) for each in expected)
    assert (row["lowest"], row["highest"]) == (as_written(expected[0]), as_written(expected[3]))
    assert row["label"] == f"{POSITIONS[row['position'] - 1]} position on {row['string']}"


def test_every_string_has_all_seven_positions() -> None:
    assert {(row["string"], row["position"]) for row in choices("place")} == {
        (string, position) for string in OPEN_STRINGS for position in range(1, 8)
    }
    assert [(row["name"], row["number"]) for row in choices("position")] == [
        (name, number) for number, name in enumerate(POSITIONS, start=1)
    ]


@pytest.mark.parametrize("row", choices("shift"), ids=names(choices("shift")))
def test_a_shift_takes_each_finger_from_one_position_to_the_other(row: Row) -> None:
    before = natural_notes(row["string"], row["leaves"], row["leaves"] + 3)
    after = natural_notes(row["string"], row["reaches"], row["reaches"] + 3)
    assert row["journeys"] == ", ".join(
        f"{finger} from {in_words(start)} to {in_words(end)}"
        for finger, (start, end) in enumerate(zip(before, after, strict=True), start=1)
    )
    assert (row["lowest"], row["highest"]) == (as_written(before[0]), as_written(after[3]))
    assert row["label"] == (
        f"{POSITIONS[row['leaves'] - 1]} to {POSITIONS[row['reaches'] - 1]} position on {row['string']}"
    )


@pytest.mark.parametrize("row", choices("changing-shift"), ids=names(choices("changing-shift")))
def test_the_old_finger_slides_to_third_position_and_the_new_one_falls_there(row: Row) -> None:
    start = natural_notes(row["string"], row["old"], row["old"])[0]
    guide = natural_notes(row["string"], row["old"] + 2, row["old"] + 2)[0]
    goal = natural_notes(row["string"], row["new"] + 2, row["new"] + 2)[0]
    assert [row["start"], row["guide"], row["goal"]] == [as_written(each) for each in (start, guide, goal)]
    assert row["path"] == (
        f"{row['old']} slides from {in_words(start)} to {in_words(guide)}, "
        f"then {row['new']} falls on {in_words(goal)}"
    )


@pytest.mark.parametrize("row", choices("finger-pattern"), ids=names(choices("finger-pattern")))
def test_finger_patterns_are_one_letter_a_finger_with_the_gaps_that_they_say(row: Row) -> None:
    open_pitch = pitch(row["open"])
    assert row["open"] == OPEN_STRINGS[row["string"]]
    lowest = pitch(row["lowest"])
    spelt = row["notes"].split(", ")
    offsets = [int(lowest.midi - open_pitch.midi)]
    for gap in row["gaps"].split(", "):
        offsets.append(offsets[-1] + {"semitone": 1, "tone": 2}[gap])
    for finger, (name, offset) in enumerate(zip(spelt, offsets, strict=True), start=1):
        one = Pitch(midi=int(open_pitch.midi) + offset)
        assert pitch(name).pitchClass == one.pitchClass
        assert pitch(name).step == natural_notes(row["string"], finger, finger)[0].step
    assert midi(row["highest"]) - midi(row["open"]) == offsets[3] == 7
    close = [f"{each}–{each + 1} close" for each in range(1, 4) if offsets[each] - offsets[each - 1] == 1]
    assert row["label"] == f"{(close or ['all fingers apart'])[0]} on {row['string']}"


@pytest.mark.parametrize(
    "list_name", ["major-key", "minor-key", "starting-note", "triad", "seventh", "first-scale"]
)
def test_where_a_scale_starts_is_where_its_lowest_note_lies_in_first_position(list_name: str) -> None:
    for row in choices(list_name):
        finger, _, string = row["start"].removesuffix(" string").rpartition(" on the ")
        if row["start"].startswith("the open "):
            assert row["lowest"] == OPEN_STRINGS[row["start"].split()[2]]
        else:
            assert (finger, semitones_above(string, row["lowest"])) in FIRST_POSITION, row["name"]


def test_a_ringing_note_is_the_unison_or_octave_of_the_string_that_rings() -> None:
    for row in choices("ringing-note"):
        fingered = natural_notes(row["string"], row["finger"], row["finger"])[0]
        assert row["note"] == as_written(fingered)
        assert midi(row["note"]) - midi(OPEN_STRINGS[row["rings"]]) in {0, 12}
        assert row["says"] == f"{in_words(fingered)}, with the open {row['rings']} string"


def test_scales_in_position_run_from_1_on_the_g_string_to_3_on_the_e_string() -> None:
    """Four notes on each of three strings, and three on the fourth: the fifteen of two octaves."""
    rows = choices("position-scale")
    assert [row["position"] for row in rows] == list(range(1, 8))
    for row in rows:
        assert steps_above("G", row["lowest"]) == row["position"]
        assert steps_above("E", row["highest"]) == row["position"] - 1 + 3
        assert midi(row["highest"]) - midi(row["lowest"]) == 24
        key = Key(row["label"].split(" major")[0].replace(" flat", "-"), "major")
        assert in_words(key.tonic) == in_words(pitch(row["lowest"]))
        assert row["label"].endswith(f"in {POSITIONS[row['position'] - 1]} position")


@pytest.mark.parametrize("list_name", ["one-finger", "string-scale"])
def test_scales_on_one_string_are_major_and_stay_on_it(list_name: str) -> None:
    for row in choices(list_name):
        string = row["name"].upper()
        tonic = pitch(row["lowest"])
        scale = Key(tonic.name, "major").getPitches(tonic, tonic.transpose("P8"))
        assert row["notes"] == ", ".join(in_words(each) for each in scale)
        assert row["highest"] == as_written(tonic.transpose("P8"))
        assert semitones_above(string, row["lowest"]) in {1, 2}


def test_left_hand_pizzicato_falls_by_3_2_1_to_the_open_string() -> None:
    for row in choices("pull-off"):
        string = row["name"].upper()
        tonic = pitch(OPEN_STRINGS[string])
        down = list(Key(tonic.name, "major").getPitches(tonic, tonic.transpose("P4")))[::-1]
        assert row["notes"] == ", ".join(in_words(each) for each in down)
        assert (row["lowest"], row["highest"]) == (as_written(down[-1]), as_written(down[0]))


def test_an_extension_reaches_one_semitone_out_of_the_frame() -> None:
    for row in choices("extension"):
        finger = row["label"].split(" ")[0]
        assert semitones_above(row["string"], row["place"]) == {"1": 2, "4": 7}[finger]
        assert midi(row["reach"]) - midi(row["place"]) == {"1": -1, "4": 1}[finger]
        assert steps_above(row["string"], row["reach"]) == {"1": 1, "4": 5}[finger]
        assert [row["low"], row["high"]] == sorted((row["place"], row["reach"]), key=midi)
        start, end = (in_words(pitch(row[column])) for column in ("place", "reach"))
        assert row["says"] == f"{finger} from {start} to {end}"


def test_crossings_hold_what_first_position_can() -> None:
    for row in choices("crossing-figure"):
        held = {column[-1].upper(): row[column] for column in row if column.startswith("on_")}
        for string, name in held.items():
            assert 0 <= semitones_above(string, name) <= 7
        assert row["lowest"] == next(iter(held.values()))
        assert row["highest"] == list(held.values())[-1]
        # Up and back without repeating the turn: 2 (n - 1) notes over n strings.
        assert row["notes"] == 2 * (len(held) - 1)


# The fourth finger on the E string in first, third and seventh position, counted in steps; a harmonic sounds higher
# than the place where it is touched. Above that: A7, the end of the fingerboard, from memory of handbooks.
HIGHEST = {"beginner": "B5", "elementary": "D6", "intermediate": "A6", "advanced": "A7", "professional": "A7"}


@pytest.mark.parametrize("exercise", [each.id for each in instruments().exercises])
def test_defaults_stay_within_the_range_of_their_level(exercise: str) -> None:
    known = instruments().exercise(exercise)
    units = instruments().material(exercise, dict(known.defaults)).units
    for unit in units:
        if unit.lowest_pitch is not None:
            assert unit.lowest_pitch >= midi(OPEN_STRINGS["G"])
        if unit.highest_pitch is not None:
            assert unit.highest_pitch <= midi(HIGHEST[known.level])


def test_highest_notes_of_the_levels_are_fourth_fingers_on_the_e_string() -> None:
    by_position = {row["position"]: row["highest"] for row in choices("place") if row["string"] == "E"}
    assert (by_position[1], by_position[3], by_position[7]) == ("B5", "D6", "A6")


def test_octaves_with_1_and_4_use_no_open_string() -> None:
    for row in choices("octaves-key"):
        assert semitones_above("G", row["lower"]) > 0
