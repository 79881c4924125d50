"""Doses and floors, by hand: max(chunk, min(T / 2, budget / 2) - set-up), in whole units."""

from typing import Any

import pytest
from bagatelle.engine.doses import floor_units, scale_of
from bagatelle.model.vocabulary import FloorMode

from tests.unit.engine.numbers import item


def test_a_dose_goes_round_again() -> None:
    scale = scale_of(item("a", unit_seconds=(30, 50, 20), largest_seconds=260))
    assert [scale.seconds(units) for units in range(8)] == [0, 30, 80, 100, 130, 180, 200, 230]
    assert scale.largest_units == 7  # eight would take 280
    assert [scale.units_within(seconds) for seconds in (-5, 29, 30, 99, 100, 199)] == [0, 0, 1, 2, 3, 5]
    assert [scale.units_reaching(seconds) for seconds in (0, 1, 31, 100, 101, 999)] == [1, 1, 2, 3, 4, 7]


def test_one_unit_is_always_possible() -> None:
    scale = scale_of(item("a", unit_seconds=(700,), largest_seconds=600))
    assert (scale.largest_units, scale.seconds(1)) == (1, 700)


@pytest.mark.parametrize(
    ("budget", "mode", "fields", "floor"),
    [
        # T 1200, budget 1800: min(600, 900) - 30 = 570 s: 5 units of 100 s, more than the chunk of 3.
        (1800, "usual", {}, 5),
        # budget 600: 300 - 30 = 270 s: 2 units; the chunk of 300 s, 3 units, is more.
        (600, "usual", {}, 3),
        (1800, "chunk", {}, 3),
        (1800, "unit", {}, 1),
        (1800, "usual", {"short_floor": True}, 3),
        # A chunk of 250 s is rounded up to 3 units, the other part of the floor down.
        (600, "usual", {"chunk_seconds": 250}, 3),
        # No more than the largest dose.
        (1800, "usual", {"largest_seconds": 450}, 4),
        (1800, "chunk", {"chunk_seconds": 900, "largest_seconds": 450}, 4),
    ],
)
def test_floor(budget: int, mode: FloorMode, fields: dict[str, Any], floor: int) -> None:
    task = item("a", **({"unit_seconds": (100,), "set_up_seconds": 30} | fields))
    assert floor_units(task, scale_of(task), budget, mode) == floor
