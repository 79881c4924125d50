"""Valves against a published chart, and against the length of the tube."""

import math

import pytest
from music21.key import Key

from tests.plugins.trumpet.loaded import choices
from tests.plugins.trumpet.pitches import letter, midi, pitch
from tests.plugins.trumpet.published import CHART, LOWERS, OTHER_VALVES

NOTES = {value["pitch"]: value for value in choices("note").values()}
WORDS = {
    "0": "open",
    "1": "first valve",
    "2": "second valve",
    "12": "first and second valve",
    "23": "second and third valve",
    "13": "first and third valve",
    "123": "all three valves",
}
OPEN_PEDAL = midi("C3")
"""The fundamental of the open tube as written: harmonics are counted from it."""


def cents_above(valves: str, harmonic: int, written: str) -> float:
    """How far a harmonic lies above its written pitch, every valve adding the length that it needs alone.

    The physics: frequency goes by harmonic over length; a valve that lowers by so many semitones alone lengthens by
    `2 ** (semitones / 12) - 1`, and lengths add up. From memory (any text on the acoustics of brass).
    """
    length = 1 + sum(2 ** (LOWERS[valve] / 12) - 1 for valve in valves if valve != "0")
    return 1200 * math.log2(harmonic / length) - 100 * (midi(written) - OPEN_PEDAL)


def test_the_chart() -> None:
    assert {written: value["valves"] for written, value in NOTES.items()} == CHART


def test_they_go_down_from_the_second_line_and_then_up() -> None:
    found = [midi(written) for written in NOTES]
    assert found == [*range(midi("G4"), midi("F#3") - 1, -1), *range(midi("Ab4"), midi("C6") + 1)]


@pytest.mark.parametrize("written", NOTES)
def test_each_is_a_harmonic_of_its_tube(written: str) -> None:
    value = NOTES[written]
    assert value["lowered"] == sum(LOWERS.get(valve, 0) for valve in value["valves"])
    tempered = 12 * math.log2(value["harmonic"]) - value["lowered"] + OPEN_PEDAL
    assert round(tempered) == midi(written)
    # Added lengths leave 1-2-3 sharp by half a semitone; nothing is further off.
    assert abs(cents_above(value["valves"], value["harmonic"], written)) < 60


@pytest.mark.parametrize("written", NOTES)
def test_the_usual_valves_lower_least_and_keep_off_the_seventh_harmonic(written: str) -> None:
    reachable = [
        lowered
        for harmonic in (2, 3, 4, 5, 6, 8)
        for lowered in range(7)
        if round(12 * math.log2(harmonic)) - lowered + OPEN_PEDAL == midi(written)
    ]
    assert NOTES[written]["lowered"] == min(reachable)


@pytest.mark.parametrize("written", NOTES)
def test_the_slide_goes_out_where_added_lengths_are_too_short(written: str) -> None:
    # trumpetdesignstudio.net, Trumpet intonation (2010): 1-3 and 1-2-3 must be lowered by the third slide.
    value = NOTES[written]
    fundamental = 100 * (midi(written) - OPEN_PEDAL) + cents_above(value["valves"], 1, written)
    sharp = fundamental + 100 * value["lowered"]
    slide = ", third slide out" if sharp > 25 else ""
    assert value["hands"] == WORDS[value["valves"]] + slide


@pytest.mark.parametrize("name", choices("other-valves"))
def test_other_valves_are_those_of_the_chart_and_sound_the_same(name: str) -> None:
    value = choices("other-valves")[name]
    written = value["pitch"]
    assert (value["usual"], value["other"]) == (CHART[written], OTHER_VALVES[written])
    lowered = sum(LOWERS[valve] for valve in value["other"])
    assert midi(written) + lowered in {
        round(12 * math.log2(each)) + OPEN_PEDAL for each in (2, 3, 4, 5, 6, 8)
    }


def test_every_other_valve_of_the_chart_is_there() -> None:
    assert {value["pitch"] for value in choices("other-valves").values()} == set(OTHER_VALVES)


@pytest.mark.parametrize("name", choices("finger-pair"))
def test_pairs_are_neighbours_with_the_valves_of_the_chart(name: str) -> None:
    value = choices("finger-pair")[name]
    valves = [CHART[value[end]].replace("0", "open") for end in ("low", "high")]
    assert value["valves"] == " and ".join(valves)
    assert midi(value["high"]) - midi(value["low"]) in {1, 2}
    assert valves[0] != valves[1]


@pytest.mark.parametrize("name", choices("pedal"))
def test_pedal_notes_take_the_valves_of_the_octave_above(name: str) -> None:
    # TPIN archive, Pedal notes and Pedal C: fingered as an octave higher (read in stored copies).
    value = choices("pedal")[name]
    above = next(each for each in CHART if midi(each) == midi(value["pitch"]) + 12)
    assert value["valves"] == CHART[above]
    assert value["hands"] == f"{WORDS[CHART[above]]}, as an octave higher"
    assert midi(value["pitch"]) < midi("F#3")


@pytest.mark.parametrize("name", choices("major-key"))
def test_valves_of_a_scale(name: str) -> None:
    value = choices("major-key")[name]
    tonic = pitch(value["lowest"])
    rising = Key(tonic.name, "major").getPitches(tonic, tonic.transpose("P8"))
    valves_by_midi = {midi(written): valves for written, valves in CHART.items()}
    assert value["fingering"].split() == [valves_by_midi[int(each.midi)] for each in rising]
    assert value["spelling"].split() == [letter(each) for each in rising]
