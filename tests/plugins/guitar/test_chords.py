"""Grips and progressions against the chords of music21."""

import itertools

import pytest
from music21.chord import Chord
from music21.harmony import ChordSymbol
from music21.key import Key
from music21.pitch import Pitch
from music21.roman import RomanNumeral

from tests.plugins.guitar.frets import (
    OCTAVE,
    OPEN,
    for_music21,
    grip_frets,
    grip_pitches,
    midi,
    position_number,
    shown,
    tonic,
)
from tests.plugins.guitar.loaded import Row, choices

MAJOR_KEYS = ("C", "G", "D", "A", "E", "B", "F#", "F", "B-", "E-", "A-", "D-")
SUFFIXES = {"major": "", "minor": "m", "diminished": "dim"}
INVERSIONS = ("root position", "first inversion", "second inversion")
# The usual open C7 leaves out its fifth.
WITHOUT_FIFTH = {"C7"}


def chord(name: str) -> list[Pitch]:
    """The notes of a chord, from its root, as music21 spells them."""
    flat = name.replace("♭", "b").replace("♯", "#")
    root, rest = (flat[:2], flat[2:]) if flat[1:2] in {"#", "b"} else (flat[:1], flat[1:])
    return list(ChordSymbol(for_music21(root) + rest).pitches)


def classes(pitches: list[int]) -> set[int]:
    return {pitch % OCTAVE for pitch in pitches}


def grips_by_name(text: str) -> dict[str, str]:
    """`D xx0232, G 320003`."""
    pairs = (each.split(" ") for each in text.split(", "))
    return dict(pairs)


@pytest.mark.parametrize("row", choices("open-chord").values(), ids=lambda row: row["name"])
def test_an_open_chord_has_the_notes_of_its_name(row: Row) -> None:
    notes = chord(row["label"])
    sounding = grip_pitches(row["grip"])
    expected = {note.pitchClass for note in notes}
    missing = {notes[2].pitchClass} if row["label"] in WITHOUT_FIFTH else set()
    assert classes(sounding) == expected - missing
    assert min(sounding) % OCTAVE == notes[0].pitchClass
    assert (midi(row["lowest"]), midi(row["highest"])) == (min(sounding), max(sounding))
    spelt = {note.pitchClass: shown(note) for note in notes}
    assert row["notes"].split(" ") == [spelt[pitch % OCTAVE] for pitch in sounding]
    assert row["strings"] == len(sounding)


@pytest.mark.parametrize("row", choices("open-chord").values(), ids=lambda row: row["name"])
def test_basses_of_an_open_chord_sound(row: Row) -> None:
    frets = dict(zip(OPEN, grip_frets(row["grip"]), strict=True))
    lowest = max(string for string, fret in frets.items() if fret is not None)
    assert row["bass"] == lowest
    assert row["other_bass"] < lowest
    assert frets[row["other_bass"]] is not None
    # i, m and a have strings 3, 2 and 1 in every grip.
    assert all(frets[string] is not None for string in (3, 2, 1))


@pytest.mark.parametrize("row", choices("open-chord").values(), ids=lambda row: row["name"])
def test_fingers_of_an_open_chord_can_lie_so(row: Row) -> None:
    pairs = list(zip(grip_frets(row["grip"]), row["fingers"], strict=True))
    assert all((fret is None) == (finger == "x") for fret, finger in pairs)
    assert all((fret == 0) == (finger == "0") for fret, finger in pairs)
    laid = [(int(finger), fret) for fret, finger in pairs if finger not in {"x", "0"} and fret is not None]
    # A higher finger is never at a lower fret, and one finger lies at one fret.
    assert all(a[1] <= b[1] for a, b in itertools.combinations(sorted(laid), 2))
    assert all(a[1] == b[1] for a, b in itertools.combinations(laid, 2) if a[0] == b[0])


def places(name: str) -> dict[int, tuple[int, int]]:
    """By finger, its string and fret in an open chord; of a finger that lies flat the lowest string."""
    row = choices("open-chord")[name.lower()]
    found: dict[int, tuple[int, int]] = {}
    for string, fret, finger in zip(OPEN, grip_frets(row["grip"]), row["fingers"], strict=True):
        if finger not in {"x", "0"} and fret is not None:
            found.setdefault(int(finger), (string, fret))
    return found


@pytest.mark.parametrize("row", choices("chord-change").values(), ids=lambda row: row["name"])
def test_what_a_change_says_of_the_fingers(row: Row) -> None:
    first, second = row["label"].split(" to ")
    rows = choices("open-chord")
    assert row["grips"] == f"{rows[first.lower()]['grip']} to {rows[second.lower()]['grip']}"
    assert row["fingers"] == f"{rows[first.lower()]['fingers']} to {rows[second.lower()]['fingers']}"
    before, after = places(first), places(second)
    both = before.keys() & after.keys()
    staying = {finger for finger in both if before[finger] == after[finger]}
    across = {finger for finger in both if before[finger][1] == after[finger][1]} - staying
    tip = row["tip"]
    if "stay" in tip:
        assert staying == {int(each) for each in tip if each.isdigit()}
    elif "across" in tip:
        named = {int(each) for each in tip if each.isdigit()} or set(before)
        assert across >= named
        assert {after[finger][0] - before[finger][0] for finger in named} in ({1}, {-1})
    elif "slides" in tip:
        finger, string = (int(each) for each in tip if each.isdigit())
        assert before[finger][0] == after[finger][0] == string
        assert before[finger][1] - after[finger][1] == 1
    else:
        assert tip == "every finger leaves at once"
        assert staying == set()


@pytest.mark.parametrize("row", choices("progression").values(), ids=lambda row: row["name"])
def test_degrees_of_a_progression(row: Row) -> None:
    name, mode = row["key"].split(" ")
    chords, degrees = row["label"].split("-"), row["degrees"].split("-")
    check_degrees(Key(name, mode), chords, degrees)
    grips = grips_by_name(row["grips"])
    assert list(grips) == list(dict.fromkeys(chords))
    assert grips == {each: choices("open-chord")[each.lower()]["grip"] for each in grips}


@pytest.mark.parametrize("row", choices("cadence").values(), ids=lambda row: row["name"])
def test_degrees_of_a_cadence(row: Row) -> None:
    name, mode = row["label"].split(" ")
    chords = row["chords"].split("-")
    check_degrees(Key(name, mode), chords, row["degrees"].split("-"))
    assert row["grips"].split(", ") == [choices("open-chord")[each.lower()]["grip"] for each in chords[:3]]


def check_degrees(key: Key, chords: list[str], degrees: list[str]) -> None:
    for name, degree in zip(chords, degrees, strict=True):
        numeral = RomanNumeral(degree, key)
        assert {note.name for note in numeral.pitches} == {note.name for note in chord(name)}, (name, degree)


@pytest.mark.parametrize("row", choices("barre-chord").values(), ids=lambda row: row["name"])
def test_a_barre_chord_has_the_notes_of_its_name(row: Row) -> None:
    notes = chord(row["symbol"])
    sounding = grip_pitches(row["grip"])
    assert classes(sounding) == {note.pitchClass for note in notes}
    assert min(sounding) % OCTAVE == notes[0].pitchClass
    assert (midi(row["lowest"]), midi(row["highest"])) == (min(sounding), max(sounding))
    assert row["label"] == row["symbol"].replace("#", "♯").replace("Bb", "B♭")


@pytest.mark.parametrize("row", choices("barre-chord").values(), ids=lambda row: row["name"])
def test_a_barre_chord_is_its_open_shape_moved_up(row: Row) -> None:
    barre = position_number(row["position"])
    shape = choices("open-chord")[row["shape"].removesuffix(" shape").lower()]
    moved = [None if fret is None else fret + barre for fret in grip_frets(shape["grip"])]
    assert grip_frets(row["grip"]) == moved


@pytest.mark.parametrize("row", choices("triad").values(), ids=lambda row: row["name"])
def test_triads_on_three_strings_are_closed_and_named_by_their_inversion(row: Row) -> None:
    assert row["label"] == row["symbol"].replace("Bb", "B♭")
    notes = chord(row["symbol"])
    grips = row["grips"].split(", ")
    lowest = []
    for grip, position in zip(grips, row["positions"].split(", "), strict=True):
        sounding = grip_pitches(grip, (3, 2, 1))
        assert sounding == sorted(sounding)
        assert sounding[-1] - sounding[0] < OCTAVE
        assert classes(sounding) == {note.pitchClass for note in notes}
        inversion = Chord([Pitch(pitch) for pitch in sounding]).inversion()
        assert INVERSIONS[inversion] == position
        lowest.append(sounding[0])
    assert lowest == sorted(set(lowest))
    assert len(grips) == len(INVERSIONS)


@pytest.mark.parametrize("row", choices("drop-two").values(), ids=lambda row: row["name"])
def test_drop_two_voicings_are_close_ones_with_the_second_voice_dropped(row: Row) -> None:
    assert row["label"] == row["symbol"].replace("b5", "♭5")
    notes = {note.pitchClass for note in chord(row["symbol"])}
    found = [grip_pitches(grip, (4, 3, 2, 1)) for grip in row["grips"].split(", ")]
    for sounding in found:
        assert sounding == sorted(sounding)
        assert classes(sounding) == notes
        raised = sorted([*sounding[1:], sounding[0] + OCTAVE])
        assert raised[-1] - raised[0] < OCTAVE
        assert raised[-2] == sounding[0] + OCTAVE
    assert len({sounding[0] % OCTAVE for sounding in found}) == len(found) == 4


@pytest.mark.parametrize("row", choices("two-five-one").values(), ids=lambda row: row["name"])
def test_guide_tones_are_thirds_and_sevenths(row: Row) -> None:
    key = Key(tonic(row["label"]))
    chords = row["chords"].split("-")
    check_degrees(key, chords, ["ii7", "V7", "I7"])
    symbols = [chord(each) for each in chords]
    assert row["thirds"].split("-") == [shown(notes[1]) for notes in symbols]
    assert row["sevenths"].split("-") == [shown(notes[3]) for notes in symbols]


@pytest.mark.parametrize("row", choices("blues").values(), ids=lambda row: row["name"])
def test_the_blues_has_twelve_bars_of_dominant_sevenths(row: Row) -> None:
    first, fourth, fifth = row["chords"].split(", ")
    root = Pitch(row["label"])
    roots = [root.transpose(interval) for interval in ("P1", "P4", "P5")]
    assert [first, fourth, fifth] == [f"{each.name}7" for each in roots]
    lengths = {"four {term.bars}": 4, "two": 2, "": 1}
    bars = [each.partition(" ") for each in row["order"].split(", ")]
    played = [name for name, _, length in bars for _ in range(lengths[length])]
    # The usual order of the twelve bars with a turn to the dominant: common practice, no source.
    assert played == [dict(zip("145", (first, fourth, fifth), strict=True))[each] for each in "111144115415"]


def test_keys_go_by_fifths_with_the_chords_of_music21() -> None:
    rows = list(choices("key").values())
    assert [tonic(row["label"]) for row in rows] == list(MAJOR_KEYS)
    for name, row in zip(MAJOR_KEYS, rows, strict=True):
        key = Key(name)
        numerals = [RomanNumeral(degree, key) for degree in ("I", "ii", "iii", "IV", "V", "vi", "viio")]
        assert row["notes"].split(" ") == [shown(each.root()) for each in numerals]
        assert row["chords"].split(" ") == [
            f"{shown(each.root())}{SUFFIXES[each.quality]}" for each in numerals
        ]
        assert tonic(row["relative"].removesuffix(" minor")) == key.relative.tonic.name
