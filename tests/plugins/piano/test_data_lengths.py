"""Seconds of every unit of the data files, reckoned anew: at the defaults, at the bounds, and anywhere between."""

from typing import Any

import pytest
from bagatelle.engine.timing import time_of
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.plugins.lengths_of_files import LengthsOfFiles
from tests.plugins.piano.data_lengths import BEATS, PAUSES, SECONDS, WITHOUT_STOPPING, seconds_of
from tests.plugins.piano.loaded import choices, entries, instruments, material

OWN = sorted(entries())
LENGTHS = LengthsOfFiles(
    entries=entries(),
    choices=choices,
    material=material,
    seconds_of=lambda exercise, chosen, each: seconds_of(exercise.removeprefix("piano."), chosen, each),
)


def test_every_exercise_is_reckoned() -> None:
    assert sorted(f"piano.{each}" for each in (*BEATS, *SECONDS)) == OWN
    assert {*PAUSES, *WITHOUT_STOPPING} <= set(BEATS)


@pytest.mark.parametrize("exercise", OWN)
def test_at_the_defaults(exercise: str) -> None:
    assert all(5 <= each <= 600 for each in LENGTHS.expected(exercise, LENGTHS.defaults(exercise)))
    LENGTHS.check(exercise, {})


@pytest.mark.parametrize("exercise", OWN)
def test_at_the_bounds(exercise: str) -> None:
    for changed in LENGTHS.bounds(exercise):
        LENGTHS.check(exercise, changed)


@pytest.mark.parametrize("exercise", OWN)
@settings(max_examples=15, deadline=None)
@given(data=st.data())
def test_with_any_legal_settings(exercise: str, data: st.DataObject) -> None:
    LENGTHS.check(exercise, data.draw(LENGTHS.legal(exercise)))


@pytest.mark.parametrize("exercise", OWN)
def test_units_divide_well(exercise: str) -> None:
    """No unit of the defaults takes more than two minutes, but for what is given by the clock."""
    seconds = [time_of(unit.timing).seconds for unit in material(exercise).units]
    if exercise.removeprefix("piano.") not in SECONDS:
        assert max(seconds) <= 120
    assert min(seconds) >= 20
    chunk = instruments().exercise(exercise).smallest_chunk_seconds
    assert chunk <= 60 * instruments().exercise(exercise).usual_minutes
    assert sum(sorted(seconds)[-3:]) >= chunk or len(seconds) < 3


@pytest.mark.parametrize(
    ("exercise", "changed", "seconds"),
    [
        # 29 notes / 2 * 60 / 66 * 3 = 39.545 s and three times two seconds.
        ("piano.scales-apart", {"keys": ["c"]}, 46),
        # 30 notes with each hand at four to the beat: 60 / 4 * 60 / 54 * 2 = 33.333 s, and twenty seconds of rest.
        ("piano.broken-octaves", {"keys": ["c"]}, 54),
        # Three rolls with each hand, four beats each, at 60: 24 s, and the pause of fifteen.
        ("piano.wide-chords", {"chords": ["octave"]}, 39),
        # 15 sixths up and down with each hand, two to the beat: 15 beats * 60 / 60 * 2 = 30 s, and twenty of rest.
        ("piano.double-sixths", {"keys": ["c"]}, 50),
        # Five by eye and five blind with each hand, four beats each: 80 beats * 60 / 69 = 69.57 s.
        ("piano.blind-leaps", {"distances": ["two-octaves"]}, 70),
        # Eight chords of four beats with each hand: 64 beats * 60 / 72 = 53.33 s, and five seconds.
        ("piano.four-note-voicing", {"voices": ["top"]}, 59),
        # Twelve bars of four beats: 48 beats * 60 / 54 = 53.33 s, and the minute to look.
        ("piano.orchestral-reduction", {"pages": ["strings"]}, 114),
        # Twelve bars of four beats at 100, three times: 86.4 s, and five seconds.
        ("piano.twelve-bar-blues", {"keys": ["c"]}, 92),
    ],
)
def test_worked_by_hand(exercise: str, changed: dict[str, Any], seconds: int) -> None:
    (unit,) = material(exercise, **changed).units
    assert time_of(unit.timing).seconds == seconds
