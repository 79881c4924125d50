"""Seconds of every unit, reckoned anew: at the defaults, at the bounds of each setting, and anywhere between."""

from typing import Any

import pytest
from bagatelle.engine.timing import time_of
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.plugins.lengths_of_files import LengthsOfFiles
from tests.plugins.violin.loaded import choices, entries, instruments, material
from tests.plugins.violin.reckoning import BEATS, PAUSES, SECONDS, seconds_of

OWN = sorted(entries())
LENGTHS = LengthsOfFiles(entries=entries(), choices=choices, material=material, seconds_of=seconds_of)


def test_every_exercise_is_reckoned() -> None:
    assert sorted({*BEATS, *SECONDS}) == OWN
    assert set(PAUSES) <= set(BEATS)


@pytest.mark.parametrize("exercise", OWN)
def test_at_the_defaults(exercise: str) -> None:
    LENGTHS.check(exercise, {})
    assert all(5 <= each <= 600 for each in LENGTHS.expected(exercise, LENGTHS.defaults(exercise)))


@pytest.mark.parametrize("exercise", OWN)
def test_at_the_bounds(exercise: str) -> None:
    for changed in LENGTHS.bounds(exercise):
        LENGTHS.check(exercise, changed)


@pytest.mark.parametrize("exercise", OWN)
@settings(max_examples=15)
@given(data=st.data())
def test_with_any_legal_settings(exercise: str, data: st.DataObject) -> None:
    LENGTHS.check(exercise, data.draw(LENGTHS.legal(exercise)))


def test_two_minutes_stand_in_to_the_second() -> None:
    """Eight bows of four beats at 64 on four strings: 8 * 4 * 60 / 64 * 4 = 120 s."""
    stand_in = instruments().stand_in("violin")
    assert stand_in is not None
    assert stand_in.id == "violin.open-strings"
    assert sum(time_of(unit.timing).seconds for unit in material("open-strings").units) == 120


@pytest.mark.parametrize(
    ("exercise", "changed", "seconds"),
    [
        # 29 notes / 2 * 60 / 66 * 3 = 39.545 s and three times two seconds.
        ("major-scales", {"keys": ["g-major"]}, 46),
        # 43 notes / 4 * 60 / 100 * 2 = 12.9 s and twice two seconds.
        (
            "major-scales",
            {"keys": ["a-major"], "octaves": 3, "values": "semiquavers", "bpm": 100, "passes": 2},
            17,
        ),
        # 15 thirds of two beats at 60, then fifteen seconds of rest.
        ("thirds", {"keys": ["c-major"]}, 45),
        # Two bars of 4/4 at 80 are 6 s; three times, and as long a rest each time.
        ("tremolo", {"kinds": ["tip-pp"]}, 36),
        # Eight groups of eight and as long down bows, 128 semiquavers or 32 beats at 84, are 22.857 s; twice, each
        # with ten seconds of rest: 65.714 s.
        ("flying-staccato", {"counts": [8]}, 66),
        # Two bars counted and two played at 66, 16 beats, are 14.545 s; four times 58.18 s.
        ("soft-entries", {"entries": ["tremolo"]}, 59),
        # 57 notes, 28.5 beats at 84, are 20.357 s; twice, each with ten seconds of rest: 60.714 s.
        ("four-octave-scales", {"keys": ["a-major"]}, 61),
        # 15 notes of a beat at 60 and fifteen seconds of rest, twice.
        ("harmonic-scales", {"scales": ["c-major"]}, 60),
    ],
)
def test_worked_by_hand(exercise: str, changed: dict[str, Any], seconds: int) -> None:
    (unit,) = material(exercise, **changed).units
    assert time_of(unit.timing).seconds == seconds
