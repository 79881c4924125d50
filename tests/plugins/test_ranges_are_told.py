"""Limits of a learner's range hold only where units tell how low and how high they go: all that can tell do."""

from collections.abc import Mapping
from itertools import chain
from typing import Any

import pytest
from bagatelle.contract import Exercise, Unit
from bagatelle.model.errors import InvalidInputError

from tests.plugins.without_range import WITHOUT_PITCHES, WITHOUT_RANGE
from tests.strategies import instruments

EXERCISES = [
    exercise
    for instrument in instruments().instruments
    if instrument.id not in WITHOUT_PITCHES
    for exercise in instrument.exercises
]
LISTED = frozenset(chain.from_iterable(WITHOUT_RANGE.values()))


def tells(exercise: Exercise) -> bool:
    """Whether each unit names both ends, with the defaults and with each of the settings' single values."""
    schemas = exercise.settings_schema["properties"]
    choices = [
        {name: [value] if "items" in schema else value}
        for name, schema in schemas.items()
        for value in schema.get("items", schema).get("enum", ())
    ]
    return all(
        unit.lowest_pitch is not None and unit.highest_pitch is not None
        for chosen in ({}, *choices)
        for unit in units_of(exercise, chosen)
    )


def units_of(exercise: Exercise, chosen: Mapping[str, Any]) -> tuple[Unit, ...]:
    """None where the value does not go with the defaults."""
    try:
        return instruments().material(exercise.id, {**exercise.defaults, **chosen}).units
    except InvalidInputError:
        return ()


def test_instruments_without_a_range_are_listed() -> None:
    without = {each.id for each in instruments().instruments if each.lowest_pitch is None}
    assert without == set(WITHOUT_PITCHES)


@pytest.mark.parametrize("exercise", EXERCISES, ids=lambda each: each.id)
def test_it_tells_its_range_or_is_listed_with_the_reason(exercise: Exercise) -> None:
    assert tells(exercise) != (exercise.id in LISTED)


def test_all_that_is_listed_exists_and_has_one_reason() -> None:
    assert {exercise.id for exercise in EXERCISES} >= LISTED
    assert sum(len(names) for names in WITHOUT_RANGE.values()) == len(LISTED)
