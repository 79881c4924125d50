"""Seconds worked a second time, for every exercise at its defaults and at the bounds of every setting."""

import math
from collections.abc import Iterator, Mapping
from typing import Any

import pytest
from bagatelle.engine.timing import time_of
from bagatelle_trumpet.plugin import plugin

from tests.plugins.trumpet.formulas import SECONDS
from tests.plugins.trumpet.loaded import entries, exercise, material

SHORTEST, LONGEST = 5, 600
"""What the form accepts of a unit, in seconds."""


def at_bounds(name: str) -> Iterator[dict[str, Any]]:
    """The defaults, and these with each setting in turn at its least, its greatest, and all that it may be."""
    defaults = dict(exercise(name).defaults)
    yield defaults
    for setting, schema in exercise(name).settings_schema["properties"].items():
        values = schema.get("items", schema)
        if "minimum" in values:
            ends = (values["minimum"], values["maximum"])
        elif "enum" in values:
            ends = (*values["enum"],)
        else:
            continue
        for value in ends:
            yield {**defaults, setting: [value] if "items" in schema else value}


def values_of(name: str, given: Mapping[str, Any]) -> list[Any]:
    each = entries()[name]["units"].get("each")
    return [None] if each is None else list(given[each])


def check(name: str, given: Mapping[str, Any]) -> bool:
    """Hold the units against the second working; where that leaves what is accepted, they must be refused."""
    expected = {str(value): SECONDS[name](given, value) for value in values_of(name, given)}
    # The hook itself: the host refuses some of these for their pitch, which is another test's affair.
    if not all(SHORTEST <= seconds <= LONGEST for seconds in expected.values()):
        with pytest.raises(ValueError, match=r"accepted: 5 to 600"):
            plugin.bagatelle_material(f"trumpet.{name}", given)
        return False
    units = plugin.bagatelle_material(f"trumpet.{name}", given).units
    found = {unit.id if len(expected) > 1 else "": time_of(unit.timing).seconds for unit in units}
    assert found == {
        value if len(expected) > 1 else "": math.ceil(seconds) for value, seconds in expected.items()
    }
    return True


def test_every_exercise_is_worked_twice() -> None:
    assert set(SECONDS) == set(entries())


@pytest.mark.parametrize("name", SECONDS)
def test_seconds_at_the_defaults(name: str) -> None:
    assert check(name, dict(exercise(name).defaults))


@pytest.mark.parametrize("name", SECONDS)
def test_seconds_at_the_bounds_of_every_setting(name: str) -> None:
    held = [check(name, given) for given in at_bounds(name)]
    # Most of what may be set can be played.
    assert sum(held) > len(held) / 2


@pytest.mark.parametrize(
    ("name", "settings", "seconds"),
    # Worked by hand.
    [
        # 8 beats at 60 are 8 s, twice 16, and 16 of rest.
        ("long-tones", {"notes": ["g-4"], "beats": 8, "passes": 2, "bpm": 60}, 32),
        # 15 quavers at 80 are 5.625 s, four times 22.5; the rest is 23.
        ("major-scales", {"keys": ["c-major"], "passes": 4, "bpm": 80}, 46),
        # 8 beats at 72 are 6.667 s, twice 13.333; rest twice 14.
        ("range-building", {"tops": ["g-5"], "passes": 2, "bpm": 72}, 42),
        # 15 notes, four strokes on each, are 60 semiquavers: 15 beats at 60, and 15 s of rest.
        ("tongued-scales", {"keys": ["c-major"], "notes_on_each": 4, "passes": 1, "bpm": 60}, 30),
        # Eight bars and four counted before, in three, at 90: 24 s, twice 48, and 48 of rest.
        ("orchestral-calls", {"bars": 8, "lead_in": 4, "beats_per_bar": 3, "bpm": 90, "passes": 2}, 96),
        # 12 bars of rest and one to enter, 52 beats at 104: 30 s, and 2 to begin.
        ("counted-rests", {"rests": [12], "bpm": 104, "passes": 1}, 32),
        # Seven bars of silence and one that sounds: 32 beats at 96 are 20 s, three times 60.
        ("cold-entries", {"tops": ["a-5"], "silence": 7, "passes": 3, "bpm": 96}, 60),
        # Two bars of four at 120 are 4 s, three times 12; rest twice 12.
        ("lead-endings", {"endings": ["shake"], "passes": 3, "bpm": 120}, 36),
        # 29 semiquavers at 120 are 3.625 s, four times 14.5; the rest is 15.
        ("running-tongue", {"keys": ["g-major"], "tongue": "ta-ka", "passes": 4, "bpm": 120}, 30),
        # 31 triplet quavers at 124 are 5 s, twice 10, and 10 of rest.
        ("running-tongue", {"keys": ["g-major"], "tongue": "ta-ta-ka", "passes": 2, "bpm": 124}, 20),
        # Four lines of four bars of three, 48 beats at 72: 40 s, 40 of rest, 20 to name the signatures.
        ("mixed-parts", {"orders": ["d-f-c-a"], "bars": 4, "beats_per_bar": 3, "bpm": 72}, 100),
    ],
)
def test_worked_examples(name: str, settings: dict[str, Any], seconds: int) -> None:
    (unit,) = material(name, **settings).units
    assert time_of(unit.timing).seconds == seconds


def test_the_stand_in_is_two_minutes_to_the_second() -> None:
    assert sum(time_of(unit.timing).seconds for unit in material("first-minutes").units) == 120


@pytest.mark.parametrize("name", SECONDS)
def test_usual_minutes_are_what_the_defaults_last(name: str) -> None:
    lengths = [time_of(unit.timing).seconds for unit in material(name).units]
    usual = 60 * exercise(name).usual_minutes
    assert sum(lengths) <= usual < sum(lengths) + 30
    assert exercise(name).smallest_chunk_seconds <= usual
    cap = exercise(name).daily_cap_seconds
    assert cap is None or usual <= cap
