"""The lowest and highest key of what the data files spell out, from where the texts put the hands."""

from collections.abc import Mapping

import pytest
from music21.key import Key
from music21.pitch import Pitch

from tests.plugins.piano.loaded import choices, entries, instruments, material

# The compass of a piano of 88 keys (music21 gives the same for its Piano).
A0, C8 = 21, 108
OCTAVES = {"one": 1, "two": 2, "three": 3}
KEYS = [row["name"] for row in choices("major-key")]


def tonic(key: str) -> int:
    """Where the left hand begins: the tonic between G2 and F sharp 3."""
    name = next(row["lowest"] for row in choices("major-key") if row["name"] == key)
    return int(Pitch(name.replace("b", "-")).midi)


def degree(number: int) -> int:
    """Semitones from the tonic of a major key to a degree, counted on over the octave: 8 is the octave."""
    pitch = Key("C", "major").pitchFromDegree((number - 1) % 7 + 1)
    return int(pitch.pitchClass) + 12 * ((number - 1) // 7)


RIGHT_HAND = degree(8)
"""Where the right hand begins: an octave above the left."""
# Exercise: how far from the tonic the lowest and the highest key lie, with the number of octaves where it is set.
HIGHEST: Mapping[str, int] = {
    "legato-overlap": RIGHT_HAND + degree(5),
    "chord-voicing": RIGHT_HAND + degree(8 + 4),
    "four-note-voicing": RIGHT_HAND + degree(8 + 6),
    "half-pedal": degree(15),
    "dynamic-scales": RIGHT_HAND + degree(15),
    "accented-scales": RIGHT_HAND + degree(15),
    "repeated-chords": RIGHT_HAND + degree(5),
    "hand-crossings": 3 * degree(8) + degree(5),
    "broken-octaves": RIGHT_HAND + degree(8) + degree(8),
    # The right hand two octaves above the left, so that each lies before its own shoulder.
    "double-sixths": RIGHT_HAND + degree(8) + degree(8),
    "triad-inversions": RIGHT_HAND + degree(8) + degree(5),
}
BELOW: Mapping[str, int] = {"broken-octaves": degree(8), "double-sixths": degree(8) - degree(3)}


@pytest.mark.parametrize("key", KEYS)
@pytest.mark.parametrize("exercise", HIGHEST)
def test_the_hands_reach_that_far(exercise: str, key: str) -> None:
    entry = entries()[f"piano.{exercise}"]["settings"]
    chosen = {"keys": [key]} if "keys" in entry else {"key": key}
    for unit in material(f"piano.{exercise}", **chosen).units:
        assert unit.lowest_pitch == tonic(key) - BELOW.get(exercise, 0)
        assert unit.highest_pitch == tonic(key) + HIGHEST[exercise]


@pytest.mark.parametrize("octaves", OCTAVES)
@pytest.mark.parametrize("exercise", ["touches", "balance-of-hands"])
def test_scales_of_so_many_octaves(exercise: str, octaves: str) -> None:
    for unit in material(f"piano.{exercise}", octaves=octaves, key="c").units:
        assert unit.lowest_pitch == Pitch("C3").midi
        assert unit.highest_pitch == Pitch("C4").midi + 12 * OCTAVES[octaves]


@pytest.mark.parametrize(
    ("distance", "lowest", "highest"), [("third", "C3", "E5"), ("sixth", "E3", "C6"), ("tenth", "C3", "E6")]
)
def test_scales_apart_end_where_the_hands_do(distance: str, lowest: str, highest: str) -> None:
    (unit,) = material("piano.scales-apart", keys=["c"], distance=distance).units
    assert (unit.lowest_pitch, unit.highest_pitch) == (Pitch(lowest).midi, Pitch(highest).midi)


def test_leaps_go_as_far_from_middle_c_both_ways() -> None:
    every = material("piano.leaps", distances=[row["name"] for row in choices("leap")]).units
    assert [(unit.lowest_pitch, unit.highest_pitch) for unit in every] == [
        tuple(Pitch(name).midi for name in ends)
        for ends in (("C3", "C5"), ("A-2", "E5"), ("C2", "C6"), ("C1", "C7"))
    ]


def test_far_leaps_go_as_far_from_middle_c_both_ways() -> None:
    every = material("piano.blind-leaps", distances=[row["name"] for row in choices("far-leap")]).units
    assert [(unit.lowest_pitch, unit.highest_pitch) for unit in every] == [
        tuple(Pitch(name).midi for name in ends)
        for ends in (("C2", "C6"), ("A-1", "E6"), ("F1", "G6"), ("C1", "C7"))
    ]


@pytest.mark.parametrize("exercise", sorted(entries()))
def test_every_key_is_on_the_piano(exercise: str) -> None:
    """With every value of every list, one at a time."""
    for name, entry in entries()[exercise].get("settings", {}).items():
        if "of" not in entry:
            continue
        for value in entry.get("only") or [row["name"] for row in choices(entry["of"])]:
            for unit in material(exercise, **{name: [value] if "most" in entry else value}).units:
                assert (unit.lowest_pitch is None) == (unit.highest_pitch is None)
                if unit.lowest_pitch is not None and unit.highest_pitch is not None:
                    assert A0 <= unit.lowest_pitch <= unit.highest_pitch <= C8


def test_the_instrument_has_88_keys() -> None:
    piano = instruments().instrument("piano")
    assert piano is not None
    assert (piano.lowest_pitch, piano.highest_pitch) == (A0, C8)
    assert C8 - A0 + 1 == 88
