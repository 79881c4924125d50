"""How long units last, against formulas worked out apart, at the defaults, at the bounds and anywhere between."""

from math import ceil
from typing import Any

import pytest
from bagatelle.engine.timing import time_of
from bagatelle.model.errors import InvalidInputError
from hypothesis import given
from hypothesis import strategies as st

from tests.plugins.musicianship.formulas import SECONDS, seconds
from tests.plugins.musicianship.loaded import entries, instruments, material
from tests.plugins.musicianship.settings import all_legal, at_bounds

OWN = tuple(entries())
SHORTEST, LONGEST = 5, 600
"""A unit's bounds, as the form of catalogues states them."""


def test_every_exercise_of_the_files_has_a_formula() -> None:
    assert {f"musicianship.{name}" for name in SECONDS} == set(OWN)


@pytest.mark.parametrize("exercise", OWN)
def test_units_last_what_their_music_says_at_the_defaults_and_at_the_bounds(exercise: str) -> None:
    known = instruments().exercise(exercise)
    accepted = sum(_agrees(exercise, each) for each in at_bounds(known.settings_schema, known.defaults))
    assert accepted > 1


@given(data=st.data())
def test_units_last_what_their_music_says_whatever_the_settings(data: st.DataObject) -> None:
    exercise = data.draw(st.sampled_from(OWN))
    _agrees(exercise, data.draw(all_legal(instruments().exercise(exercise).settings_schema)))


def _agrees(exercise: str, settings: dict[str, Any]) -> bool:
    """Hold the units of settings to the formula; say whether there are any.

    Settings are refused exactly where a unit would be too short or too long.
    """
    units = _units(exercise, settings)
    expected = {unit: ceil(seconds(exercise, settings, unit)) for unit in units}
    if not all(SHORTEST <= length <= LONGEST for length in expected.values()):
        with pytest.raises(InvalidInputError):
            material(exercise, **settings)
        return False
    made = {unit.id: time_of(unit.timing).seconds for unit in material(exercise, **settings).units}
    assert made == expected
    return True


def _units(exercise: str, settings: dict[str, Any]) -> list[str]:
    """The units that settings must make: one for each value of the setting that they are of."""
    each = entries()[exercise]["units"].get("each")
    if each is None:
        return [exercise.removeprefix("musicianship.")]
    return [str(value) for value in settings[each]]


@pytest.mark.parametrize("exercise", OWN)
def test_a_day_can_hold_a_useful_piece_at_the_defaults(exercise: str) -> None:
    """The smallest chunk is no longer than the usual time, and all units fit into a long visit."""
    known = instruments().exercise(exercise)
    lengths = [time_of(unit.timing).seconds for unit in material(exercise).units]
    assert known.smallest_chunk_seconds <= known.usual_minutes * 60
    assert min(lengths) <= known.usual_minutes * 60
    assert sum(lengths) <= 1200


@pytest.mark.parametrize(
    ("exercise", "settings", "unit", "length"),
    # Worked by hand.
    [
        (
            "passage-imagined",
            {"bars": 4, "beats": 4, "bpm": 50, "passes": 3},
            "1",
            76,
        ),  # 3 * (19.2 + 6) = 75.6
        (
            "cross-rhythms",
            {"rhythms": ["three-against-four"], "bpm": 180, "passes": 15},
            "three-against-four",
            60,
        ),
        ("pulse-with-gaps", {"gaps": ["one-and-three"], "bpm": 60, "passes": 4}, "one-and-three", 64),
        ("modes-sung", {"modes": ["dorian"], "bpm": 60, "passes": 2}, "dorian", 40),  # 2 * (15 + 5)
        (
            "sight-singing",
            {"bars": 8, "beats": 4, "bpm": 60, "look_seconds": 30},
            "minor",
            77,
        ),  # 32 + 30 + 15
        # Three passes of twelve notes, 1.5 seconds each, and 12 to check.
        ("twelve-note-rows", {"rows": ["2-inverted"], "bpm": 40, "passes": 3}, "2-inverted", 90),
        # Two passes of seven notes, six seconds each, and a breath of six.
        (
            "chords-on-a-held-note",
            {"chords": ["seventh-root"], "hold_seconds": 6, "passes": 2},
            "seventh-root",
            96,
        ),
        # Five notes of four seconds.
        (
            "chords-on-a-held-note",
            {"chords": ["minor-fifth"], "hold_seconds": 4, "passes": 2},
            "minor-fifth",
            52,
        ),
        # 20 quavers of 0.6 seconds, seven times; 28 of 0.375 seconds, eight times
        ("two-metres-at-once", {"pairs": ["five-over-four"], "bpm": 100, "passes": 7}, "five-over-four", 84),
        (
            "two-metres-at-once",
            {"pairs": ["seven-over-four"], "bpm": 160, "passes": 8},
            "seven-over-four",
            84,
        ),
        # Half a minute to compare.
        ("harmonic-plan", {"pages": [12], "look_seconds": 100, "write_seconds": 60}, "12", 190),
        ("progressions-sung", {"progressions": ["twelve-bars"], "bpm": 80, "passes": 2}, "twelve-bars", 84),
    ],
)
def test_worked_examples(exercise: str, settings: dict[str, Any], unit: str, length: int) -> None:
    made = material(f"musicianship.{exercise}", **settings)
    assert {each.id: time_of(each.timing).seconds for each in made.units}[unit] == length


def test_the_warm_up_is_two_minutes_to_the_second() -> None:
    assert sum(time_of(unit.timing).seconds for unit in material("musicianship.warm-up").units) == 120
