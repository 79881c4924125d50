"""Seconds of every unit, reckoned anew: at the defaults, at the bounds of each setting, and anywhere between."""

import math
from collections.abc import Iterator, Mapping
from fractions import Fraction
from typing import Any

import pytest
from bagatelle.engine.timing import time_of
from bagatelle.model.errors import InvalidInputError
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.plugins.violin.loaded import choices, entries, instruments, material
from tests.plugins.violin.reckoning import BEATS, PAUSES, SECONDS, seconds_of

OWN = sorted(entries())


def defaults(exercise: str) -> dict[str, Any]:
    return {name: given["default"] for name, given in entries()[exercise].get("settings", {}).items()}


def values(exercise: str, chosen: Mapping[str, Any]) -> list[Any]:
    """What makes the units, in the order in which they come: that of the list, or the least number first."""
    setting = entries()[exercise]["units"]["each"]
    given = chosen[setting]
    list_name = entries()[exercise]["settings"][setting].get("of")
    if list_name is None:
        return sorted(given)
    return [row["name"] for row in choices(list_name) if row["name"] in given]


def expected(exercise: str, chosen: Mapping[str, Any]) -> list[Fraction]:
    return [seconds_of(exercise, chosen, each) for each in values(exercise, chosen)]


def check(exercise: str, changed: Mapping[str, Any]) -> None:
    """Every unit lasts what is reckoned; where one would last less than 5 s or more than 600 s, it is refused."""
    reckoned = expected(exercise, {**defaults(exercise), **changed})
    if all(5 <= each <= 600 for each in reckoned):
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
    assert sorted({*BEATS, *SECONDS}) == OWN
    assert set(PAUSES) <= set(BEATS)


@pytest.mark.parametrize("exercise", OWN)
def test_at_the_defaults(exercise: str) -> None:
    check(exercise, {})
    assert all(5 <= each <= 600 for each in expected(exercise, defaults(exercise)))


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
@settings(max_examples=15)
@given(data=st.data())
def test_with_any_legal_settings(exercise: str, data: st.DataObject) -> None:
    given_settings = entries()[exercise].get("settings", {})
    check(
        exercise,
        data.draw(st.fixed_dictionaries({name: legal(each) for name, each in given_settings.items()})),
    )


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
    ],
)
def test_worked_by_hand(exercise: str, changed: dict[str, Any], seconds: int) -> None:
    (unit,) = material(exercise, **changed).units
    assert time_of(unit.timing).seconds == seconds
