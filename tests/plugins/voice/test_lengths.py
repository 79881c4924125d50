"""Units last as long as their words say, at the defaults, at the bounds, and for any legal settings."""

from collections.abc import Mapping
from math import ceil
from typing import Any

import pytest
from bagatelle.engine.timing import time_of
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.plugins.piano.schemas import legal
from tests.plugins.voice.lengths import BEATS, PATTERNS, SECONDS, seconds
from tests.plugins.voice.loaded import complete, exercises, has_text, instruments, material, said

NAMES = list(exercises())
PARTS = [f"{form}{part}" for form in ("", "soft.") for part in ("what", "how", "how_much", "done_when")]


def bound(schema: Mapping[str, Any], *, least: bool) -> object:
    """The least or the greatest that a setting may be; of several values one, or as many as there may be."""
    if schema["type"] == "array":
        one = schema["items"]
        if least:
            return [bound(one, least=True)]
        values = one["enum"] if "enum" in one else range(one["maximum"], one["minimum"] - 1, -1)
        return list(values)[: schema["maxItems"]]
    if "enum" in schema:
        return schema["enum"][0 if least else -1]
    if schema["type"] == "integer":
        return schema["minimum" if least else "maximum"]
    return "S" if least else "S" * schema["maxLength"]


def assert_lengths(exercise: str, chosen: Mapping[str, Any]) -> None:
    given_all = complete(exercise, chosen)
    made = material(exercise, **chosen)
    for unit in made.units:
        wanted = seconds(exercise, given_all, unit.id)
        assert 5 <= wanted <= 600
        assert time_of(unit.timing).seconds == ceil(wanted), (exercise, unit.id)


def test_every_exercise_is_counted_here_once() -> None:
    assert sorted([*PATTERNS, *BEATS, *SECONDS]) == sorted(NAMES)


@pytest.mark.parametrize("exercise", NAMES)
def test_at_the_defaults(exercise: str) -> None:
    assert_lengths(exercise, {})


@pytest.mark.parametrize("exercise", NAMES)
@pytest.mark.parametrize("least", [True, False])
def test_at_the_bounds_of_each_setting_and_of_all(exercise: str, *, least: bool) -> None:
    schemas = exercises()[exercise].settings_schema["properties"]
    bounds = {name: bound(schema, least=least) for name, schema in schemas.items()}
    assert_lengths(exercise, bounds)
    for name, value in bounds.items():
        assert_lengths(exercise, {name: value})


@pytest.mark.parametrize("exercise", NAMES)
@settings(max_examples=10, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(data=st.data())
def test_whatever_the_settings_lengths_are_true_and_sentences_whole(
    exercise: str, data: st.DataObject
) -> None:
    schemas = exercises()[exercise].settings_schema["properties"]
    chosen = data.draw(
        st.fixed_dictionaries({}, optional={name: legal(each) for name, each in schemas.items()})
    )
    assert_lengths(exercise, chosen)
    made = material(exercise, **chosen)
    for part in PARTS:
        if has_text(exercise, part):
            for dose in {1, min(len(made.units), 12)}:
                for locale in instruments().wording.locales:
                    text = said(exercise, part, made, dose, locale)
                    assert text == text.strip()
                    assert not {"\n", "{", "}"} & set(text)
                    assert "  " not in text


@pytest.mark.parametrize("exercise", NAMES)
def test_the_usual_minutes_are_once_through_and_a_chunk_is_a_unit_or_less(exercise: str) -> None:
    entry = exercises()[exercise]
    lengths = [time_of(unit.timing).seconds for unit in material(exercise).units]
    assert abs(entry.usual_minutes * 60 - sum(lengths)) <= 30
    assert max(lengths) <= entry.usual_minutes * 60
    assert entry.smallest_chunk_seconds <= max(lengths)
    assert entry.daily_cap_seconds is None or max(lengths) <= entry.daily_cap_seconds
