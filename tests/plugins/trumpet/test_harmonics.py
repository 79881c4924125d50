"""The seven lengths of tube and what is slurred on them, against the harmonic series."""

import math
from itertools import pairwise

import pytest
from music21.key import Key

from tests.plugins.trumpet.loaded import choices, entries, exercise, units
from tests.plugins.trumpet.pitches import letter, midi, pitch, spoken
from tests.plugins.trumpet.published import CHART, LOWERS, LOWEST_LIP_TRILL

VALVES = choices("valves")
HARMONICS = {"second": 2, "third": 3, "fourth": 4, "fifth": 5, "sixth": 6, "eighth": 8, "ninth": 9}
COLUMN = {harmonic: column for column, harmonic in HARMONICS.items()}
# Degrees of the major scale over the fundamental: harmonics 2, 4 and 8 are octaves, 3 and 6 fifths, 5 the third.
DEGREES = {2: 1, 3: 5, 4: 1, 5: 3, 6: 5, 8: 1, 9: 2}

# What each exercise slurs, by harmonics, as its words and its column say: written a second time.
SLURS = {
    "lip-slurs": ("slur_two", (2, 3, 2, 3, 2)),
    "lip-slurs-of-three": ("slur_three", (2, 3, 4, 3, 2)),
    "lip-slurs-middle": ("slur_middle", (3, 4, 5, 4, 3)),
    "lip-slurs-upper": ("slur_upper", (4, 5, 6, 5, 4)),
    "slurred-leaps": ("slur_leaps", (2, 4, 3, 5, 4)),
    "harmonics-in-one-breath": ("slur_whole", (2, 3, 4, 5, 6, 5, 4, 3, 2)),
    "shakes": ("thirds", (5, 6)),
    "lip-trills": ("tones", (8, 9)),
    "hear-the-harmonic": ("three", (2, 3, 4)),
}


def test_the_seven_lengths() -> None:
    assert [value["lowered"] for value in VALVES.values()] == list(range(7))
    for value in VALVES.values():
        assert value["lowered"] == sum(LOWERS.get(valve, 0) for valve in value["valves"])
        assert value["label"].replace("–", "").replace("open", "0") == value["valves"]


@pytest.mark.parametrize("name", VALVES)
@pytest.mark.parametrize("column", HARMONICS)
def test_harmonics_lie_within_the_known_error_and_are_spelt_over_their_fundamental(
    name: str, column: str
) -> None:
    value, harmonic = VALVES[name], HARMONICS[column]
    tempered = midi("C3") + 12 * math.log2(harmonic) - value["lowered"]
    # A fifth is 2 cents wide, a third 14 narrow, a ninth 4 wide: the harmonics' known distance from the piano's.
    assert abs(tempered - midi(value[column])) < 0.15
    scale = Key(pitch(value["second"]).name, "major")
    assert letter(pitch(value[column])) == letter(scale.pitchFromDegree(DEGREES[harmonic]))


def test_the_seventh_harmonic_is_left_out_as_too_flat() -> None:
    assert 12 * math.log2(7) - round(12 * math.log2(7)) < -0.3
    assert 7 not in HARMONICS.values()


@pytest.mark.parametrize("name", SLURS)
def test_words_units_and_widest_interval_are_those_of_the_slur(name: str) -> None:
    column, slurred = SLURS[name]
    assert entries()[name]["units"]["detail"] == f"{{each.{column}}}"
    units = entries()[name]["units"]
    assert (units["lowest"], units["highest"]) == tuple(
        f"each.{COLUMN[end]}" for end in (min(slurred), max(slurred))
    )
    for value in VALVES.values():
        joint = " and " if len(slurred) == 2 else ", "
        assert value[column] == joint.join(spoken(value[COLUMN[each]]) for each in slurred)
        steps = [midi(value[COLUMN[each]]) for each in slurred]
        widest = max(abs(after - before) for before, after in pairwise(steps))
        if name != "hear-the-harmonic":
            assert exercise(name).widest_interval_semitones == widest


def test_a_lip_trill_goes_by_step_and_a_shake_by_a_third() -> None:
    for name in entries()["lip-trills"]["settings"]["valves"]["only"]:
        value = VALVES[name]
        assert midi(value["ninth"]) - midi(value["eighth"]) == 2
        assert midi(value["eighth"]) >= midi(LOWEST_LIP_TRILL)
    for value in VALVES.values():
        assert midi(value["sixth"]) - midi(value["fifth"]) == 3


@pytest.mark.parametrize("name", choices("lead-note"))
def test_a_shake_of_the_lead_goes_to_the_next_harmonic_but_the_seventh(name: str) -> None:
    value = choices("lead-note")[name]
    assert value["valves"] == CHART[value["pitch"]]
    lowered = sum(LOWERS.get(valve, 0) for valve in value["valves"])
    sounding = {
        harmonic: midi("C3") + round(12 * math.log2(harmonic)) - lowered for harmonic in HARMONICS.values()
    }
    (own,) = (harmonic for harmonic, found in sounding.items() if found == midi(value["pitch"]))
    over = min(harmonic for harmonic in sounding if harmonic > own)
    assert value["above"] == sounding[over] - midi(value["pitch"])
    # A lip trill goes by step, a shake wider.
    assert value["above"] >= 3
    assert midi(value["top"]) == sounding[over]


def test_how_far_the_endings_of_the_lead_go() -> None:
    # Common practice, no source: a short fall is about a fourth, a long one about an octave.
    found = {
        name: (unit.lowest_pitch, unit.highest_pitch)
        for name, unit in units("lead-endings", note="g-5").items()
    }
    assert found == {
        "short-fall": (midi("D5"), midi("G5")),
        "long-fall": (midi("G4"), midi("G5")),
        "doit": (midi("G5"), midi("C6")),
        "shake": (midi("G5"), midi("C6")),
    }
