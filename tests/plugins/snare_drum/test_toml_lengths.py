"""Every legal setting of the exercises in TOML gives units that last what is played."""

import math
from typing import Any

import pytest
from bagatelle.engine.timing import time_of
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.plugins.snare_drum.in_toml import entries, exercise, instruments
from tests.plugins.snare_drum.schemas import from_schema
from tests.plugins.snare_drum.toml_lengths import LENGTHS

EACH = pytest.mark.parametrize("name", LENGTHS)


def expected_seconds(name: str, chosen: dict[str, Any]) -> dict[str, int]:
    setting, length = LENGTHS[name]
    values = [None] if setting is None else chosen[setting]
    return {name if value is None else str(value): math.ceil(length(chosen, value)) for value in values}


def found_seconds(name: str, chosen: dict[str, Any]) -> dict[str, int]:
    units = instruments().material(f"snare-drum.{name}", chosen).units
    return {unit.id: time_of(unit.timing).seconds for unit in units}


def test_each_is_counted() -> None:
    assert list(LENGTHS) == list(entries())


@EACH
def test_at_the_defaults(name: str) -> None:
    chosen = dict(exercise(name).defaults)
    assert found_seconds(name, chosen) == expected_seconds(name, chosen)


@EACH
@settings(deadline=None, max_examples=30)
@given(data=st.data())
def test_at_all_settings_and_none_is_refused(name: str, data: st.DataObject) -> None:
    chosen = data.draw(from_schema(exercise(name).settings_schema))
    expected = expected_seconds(name, chosen)
    assert found_seconds(name, chosen) == expected
    assert all(5 <= seconds <= 600 for seconds in expected.values())


@pytest.mark.parametrize(
    ("name", "changed", "seconds"),
    [
        # Worked by hand.
        ("free-strokes", {"hands": ["both"], "bars": 4, "bpm": 80, "passes": 2}, 2 * (12 + 4)),
        ("eight-to-one", {"ways": ["down"], "bpm": 72, "passes": 2}, 2 * (30 + 4)),
        ("endurance", {"tempi": [80], "bars": 16, "passes": 2}, 2 * 48 + 96),
        ("click-gaps", {"gaps": ["one-three"], "bpm": 60, "rounds": 4}, 64),
        ("metre-changes", {"changes": ["2-4-3-8"], "bpm": 140, "rounds": 20}, 60 + 4),
        ("excerpt-by-bars", {"metre": "3-4", "bars": 8, "bpm": 72, "passes": 4}, 4 * (20 + 20)),
        ("hands-over-foot", {"ratios": ["4-3"], "bpm": 72, "rounds": 8, "passes": 2}, 2 * (20 + 4)),
    ],
)
def test_worked_examples(name: str, changed: dict[str, Any], seconds: int) -> None:
    chosen = {**exercise(name).defaults, **changed}
    assert list(found_seconds(name, chosen).values()) == [seconds]
