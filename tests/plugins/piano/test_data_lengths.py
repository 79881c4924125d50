"""Seconds of every unit of the data files, reckoned anew: at the defaults, at the bounds, and anywhere between."""

import math
from collections.abc import Iterator, Mapping
from fractions import Fraction
from typing import Any

import pytest
from bagatelle.engine.timing import time_of
from bagatelle.model.errors import InvalidInputError
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.plugins.piano.data_lengths import BEATS, PAUSES, SECONDS, WITHOUT_STOPPING, seconds_of
from tests.plugins.piano.loaded import choices, entries, instruments, material

OWN = sorted(entries())


def defaults(exercise: str) -> dict[str, Any]:
    return {name: given["default"] for name, given in entries()[exercise].get("settings", {}).items()}


def values(exercise: str, chosen: Mapping[str, Any]) -> list[Any]:
    """What makes the units, in the order in which they come: that of the list, or the least number first."""
    setting = entries()[exercise]["units"].get("each")
    if setting is None:
        return [None]
    list_name = entries()[exercise]["settings"][setting].get("of")
    if list_name is None:
        return sorted(chosen[setting])
    return [row["name"] for row in choices(list_name) if row["name"] in chosen[setting]]


def expected(exercise: str, chosen: Mapping[str, Any]) -> list[Fraction]:
    name = exercise.removeprefix("piano.")
    return [seconds_of(name, chosen, each) for each in values(exercise, chosen)]


def check(exercise: str, changed: Mapping[str, Any]) -> None:
    """Every unit lasts what is reckoned; where one would last less than 5 s or more than 600 s, it is refused."""
    reckoned = expected(exercise, {**defaults(exercise), **changed})
    if all(5 <= math.ceil(each) <= 600 for each in reckoned):
        units = material(exercise, **changed).units
        assert [time_of(unit.timing).seconds for unit in units] == [math.ceil(each) for each in reckoned]
        return
    with pytest.raises(InvalidInputError) as caught:
        material(exercise, **changed)
    assert "accepted" in f"{caught.value.errors}"


def bounds(exercise: str) -> Iterator[dict[str, Any]]:
    """Each setting alone at each end, then all of them at their least and at their greatest."""
    ends: tuple[dict[str, Any], dict[str, Any]] = ({}, {})
    for name, entry in entries()[exercise].get("settings", {}).items():
        if "whole" in entry:
            least, greatest = ([each] if "most" in entry else each for each in entry["whole"])
        elif "of" in entry:
            accepted = entry.get("only") or [row["name"] for row in choices(entry["of"])]
            least, greatest = (
                (accepted[:1], accepted[-entry["most"] :]) if "most" in entry else (accepted[0], accepted[-1])
            )
        else:
            continue
        for end, value in zip(ends, (least, greatest), strict=True):
            end[name] = value
            yield {name: value}
    yield from ends


def test_every_exercise_is_reckoned() -> None:
    assert sorted(f"piano.{each}" for each in (*BEATS, *SECONDS)) == OWN
    assert {*PAUSES, *WITHOUT_STOPPING} <= set(BEATS)


@pytest.mark.parametrize("exercise", OWN)
def test_at_the_defaults(exercise: str) -> None:
    assert all(5 <= each <= 600 for each in expected(exercise, defaults(exercise)))
    check(exercise, {})


@pytest.mark.parametrize("exercise", OWN)
def test_at_the_bounds(exercise: str) -> None:
    for changed in bounds(exercise):
        check(exercise, changed)


def legal(entry: Mapping[str, Any]) -> st.SearchStrategy[Any]:
    """Every value that a setting accepts."""
    if "whole" in entry:
        one: st.SearchStrategy[Any] = st.integers(*entry["whole"])
    elif "of" in entry:
        one = st.sampled_from(entry.get("only") or [row["name"] for row in choices(entry["of"])])
    else:
        one = st.just(entry["default"])
    return st.lists(one, min_size=1, max_size=entry["most"], unique=True) if "most" in entry else one


@pytest.mark.parametrize("exercise", OWN)
@settings(max_examples=15, deadline=None)
@given(data=st.data())
def test_with_any_legal_settings(exercise: str, data: st.DataObject) -> None:
    given_settings = entries()[exercise].get("settings", {})
    check(
        exercise,
        data.draw(st.fixed_dictionaries({name: legal(each) for name, each in given_settings.items()})),
    )


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
        # Twelve bars of four beats at 100, three times: 86.4 s, and five seconds.
        ("piano.twelve-bar-blues", {"keys": ["c"]}, 92),
    ],
)
def test_worked_by_hand(exercise: str, changed: dict[str, Any], seconds: int) -> None:
    (unit,) = material(exercise, **changed).units
    assert time_of(unit.timing).seconds == seconds
