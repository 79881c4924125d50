"""Lengths against worked examples."""

import math
from collections.abc import Mapping
from fractions import Fraction
from typing import Any

import pytest
from bagatelle.contract import BarTiming, NoteTiming, PlainTiming
from bagatelle.engine.timing import time_of
from bagatelle_snare_drum.catalogue import instrument
from bagatelle_snare_drum.durations import exact_seconds, tempo_ladder
from bagatelle_snare_drum.plugin import bagatelle_material

DEFAULTS = {exercise.id: exercise.defaults for exercise in instrument().exercises}


def seconds_of(exercise: str, **settings: Any) -> Mapping[str, Fraction]:
    identifier = f"snare-drum.{exercise}"
    material = bagatelle_material(identifier, {**DEFAULTS[identifier], **settings})
    return {unit.id: exact_seconds(unit.timing) for unit in material.units}


@pytest.mark.parametrize(
    ("notes", "bpm", "notes_per_beat", "seconds"),
    # Worked by hand: notes * 60 / (bpm * notes to the beat); every note holds one slot.
    [(15, 60, 2, "7.5"), (29, 80, 4, "5.4375"), (43, 100, 4, "6.45"), (57, 120, 4, "7.125")],
)
def test_notes(notes: int, bpm: int, notes_per_beat: int, seconds: str) -> None:
    assert exact_seconds(NoteTiming(notes=notes, notes_per_beat=notes_per_beat, bpm=bpm)) == Fraction(seconds)


def test_a_paradiddle() -> None:
    # 8 strokes in semiquavers are 2 beats; 8 times round takes 16 s at 60; 3 passes, 4 s after each.
    found = seconds_of(
        "diddles", rudiments=["Single Paradiddle"], bpm=60, cycles=8, passes=3, pause_seconds=4
    )
    assert found == {"single-paradiddle": 3 * (16 + 4)}


def test_a_seventeen_stroke_roll() -> None:
    # 16 semiquavers, then the last stroke for a whole beat: 5 beats, from each hand; twice, at 75, they take 16 s.
    found = seconds_of("rolls-by-length", lengths=[17], bpm=75, cycles=2, passes=1, pause_seconds=0)
    assert found == {"seventeen-stroke-roll": 16}


def test_a_ladder_up_and_down() -> None:
    assert tempo_ladder(60, 120, 30) == (60, 90, 120, 90, 60)
    assert tempo_ladder(60, 100, 30) == (60, 90, 100, 90, 60)
    # Flam, once round 1 beat, 12 times: 12 s at 60, 8 s at 90, 6 s at 120: 12 + 8 + 6 + 8 + 12.
    found = seconds_of(
        "open-closed-open", rudiments=["flam"], from_bpm=60, to_bpm=120, step_bpm=30, cycles=12
    )
    assert found == {"flam": 46}


def test_a_ladder_is_rounded_up_once() -> None:
    material = bagatelle_material(
        "snare-drum.open-closed-open",
        {"surface": "pad", "rudiments": ["flam"], "from_bpm": 70, "to_bpm": 110, "step_bpm": 40, "cycles": 7},
    )
    # 7 beats at 70, 110 and 70: 6 + 42/11 + 6 = 15.82 s.
    assert material.units[0].timing == PlainTiming(seconds=16)


def test_the_warm_up_is_two_minutes() -> None:
    # 16 quavers are 8 beats, at 80 they take 6 s; 10 rounds a minute.
    assert seconds_of("warm-up") == {"eight-on-a-hand": 60, "slow-doubles": 60}


def test_metres_share_their_quaver() -> None:
    # 8 bars at crotchet = 60: 2/4 16 s, 6/8 24 s, 5/8 20 s, 7/8 28 s.
    found = seconds_of(
        "metre", metres=["7/8", "2/4", "5/8", "6/8"], bpm=60, bars=8, passes=1, pause_seconds=0
    )
    assert found == {"2-4": 16, "6-8": 24, "5-8": 20, "7-8": 28}
    assert list(found) == ["2-4", "6-8", "5-8", "7-8"]


def test_subdivisions_last_alike() -> None:
    assert set(seconds_of("subdivision", bpm=60, bars=4, passes=2, pause_seconds=3).values()) == {38}


def test_bursts_with_their_rests() -> None:
    # 4 beats at 120 take 2 s; 6 bursts with 8 s after each: 60 s.
    found = seconds_of("fast-singles", tempi=[120], burst_beats=4, bursts=6, rest_seconds=8)
    assert found == {"120": 60}


def test_a_passage_in_six_eight() -> None:
    # 12 bars of two dotted crotchets at 60 take 24 s; 5 s after each of two passes, where nothing else is said.
    passage = {"id": "trio", "label": "the trio", "bars": 12, "beats_per_bar": 2, "bpm": 60, "passes": 2}
    passage["beat"] = "dotted crotchet"
    assert seconds_of("passage", passages=[passage]) == {"trio": 58}


def test_a_passage_leaves_time_to_mend() -> None:
    # Common practice, no source: a quarter of a minute or more for each passage, where nothing else is said.
    passage = {"id": "trio", "label": "the trio", "bars": 12, "bpm": 60}
    (unit,) = bagatelle_material(
        "snare-drum.passage", {**DEFAULTS["snare-drum.passage"], "passages": [passage]}
    ).units
    assert isinstance(unit.timing, BarTiming)
    assert unit.timing.pause_seconds >= 15


@pytest.mark.parametrize("exercise", DEFAULTS)
def test_the_engine_counts_the_same_seconds(exercise: str) -> None:
    for unit in bagatelle_material(exercise, DEFAULTS[exercise]).units:
        assert time_of(unit.timing).seconds == math.ceil(exact_seconds(unit.timing))


@pytest.mark.parametrize(
    ("exercise", "settings", "message"),
    [
        ("open-closed-open", {"from_bpm": 100, "to_bpm": 100}, "at least 101 is accepted"),
        (
            "diddles",
            {"bpm": 40, "cycles": 16, "passes": 8},
            "5 to 600 seconds",
        ),
        ("rolls", {"bpm": 160, "cycles": 4, "passes": 1, "pause_seconds": 0}, "5 to 600 seconds"),
        (
            "passage",
            {"passages": [{"id": "a", "label": label, "bars": 8, "bpm": 60} for label in ("one", "two")]},
            "an id of its own",
        ),
    ],
)
def test_settings_that_do_not_go_together(exercise: str, settings: dict[str, Any], message: str) -> None:
    with pytest.raises(ValueError, match=message):
        seconds_of(exercise, **settings)
