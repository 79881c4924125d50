"""The nearest settings that fit: they fit, they differ in one setting, and no smaller step of it does."""

from collections.abc import Mapping
from typing import Any, Final

import pytest
from bagatelle.catalogue.nearest import nearest_change
from hypothesis import given
from hypothesis import strategies as st

SCHEMA: Final[Mapping[str, Any]] = {
    "type": "object",
    "properties": {
        "octaves": {"type": "integer", "minimum": 1, "maximum": 5},
        "bpm": {"type": "integer", "minimum": 30, "maximum": 200},
        "key": {"type": "string", "enum": ["c", "g", "d", "a", "e"]},
        "start": {"type": ["integer", "null"], "minimum": 1, "maximum": 6},
        "tempi": {
            "type": "array",
            "items": {"type": "integer", "minimum": 1, "maximum": 9},
            "minItems": 1,
            "maxItems": 5,
        },
    },
}
settings = st.fixed_dictionaries(
    {
        "octaves": st.integers(1, 5),
        "bpm": st.integers(30, 200),
        "key": st.sampled_from(["c", "g", "d", "a", "e"]),
        "start": st.none() | st.integers(1, 6),
        "tempi": st.lists(st.integers(1, 9), min_size=1, max_size=5, unique=True),
    }
)


@given(settings, st.integers(1, 5), st.integers(30, 200), st.integers(0, 9))
def test_it_fits_and_only_one_setting_is_another(
    given_settings: dict[str, Any], octaves: int, bpm: int, tempo: int
) -> None:
    def fits(changed: Mapping[str, Any]) -> bool:
        return (
            changed["octaves"] <= octaves
            and changed["bpm"] >= bpm
            and changed["key"] != "a"
            and all(each > tempo for each in changed["tempi"])
        )

    change = nearest_change(SCHEMA, given_settings, fits)
    if change is None:
        return
    assert fits({**given_settings, change.setting: change.value})
    if fits(given_settings):
        return
    assert change.value != given_settings[change.setting]


@given(st.integers(1, 5), st.integers(1, 5))
def test_of_a_number_it_is_the_nearest(given_octaves: int, most: int) -> None:
    asked = {"octaves": given_octaves, "bpm": 80, "key": "c", "start": None, "tempi": [1]}
    change = nearest_change(SCHEMA, asked, lambda changed: changed["octaves"] <= most)
    if given_octaves > most:
        assert change is not None
        assert (change.setting, change.value) == ("octaves", most)


@given(st.integers(30, 200), st.integers(30, 200), st.integers(0, 60))
def test_of_a_stretch_that_fits_the_nearest_end_is_found(bpm: int, least: int, length: int) -> None:
    asked = {"octaves": 1, "bpm": bpm, "key": "c", "start": None, "tempi": [1]}
    greatest = min(least + length, 200)
    change = nearest_change(SCHEMA, asked, lambda changed: least <= changed["bpm"] <= greatest)
    if bpm < least and length >= least - bpm:
        assert change is not None
        assert change.value == least
    if bpm > greatest and length >= bpm - greatest:
        assert change is not None
        assert change.value == greatest


def test_of_several_values_those_are_kept_that_fit() -> None:
    asked = {"octaves": 1, "bpm": 80, "key": "c", "start": None, "tempi": [2, 9, 4]}
    change = nearest_change(SCHEMA, asked, lambda changed: max(changed["tempi"]) <= 4)
    assert change is not None
    assert (change.setting, change.value) == ("tempi", [2, 4])


def test_where_nothing_fits_nothing_is_said() -> None:
    asked = {"octaves": 1, "bpm": 80, "key": "c", "start": None, "tempi": [2]}
    assert nearest_change(SCHEMA, asked, lambda _: False) is None


@given(st.none() | st.integers(1, 6), st.integers(1, 6))
def test_what_may_be_left_open_is_set_where_that_would_do(start: int | None, fitting: int) -> None:
    asked = {"octaves": 1, "bpm": 80, "key": "c", "start": start, "tempi": [2]}
    change = nearest_change(SCHEMA, asked, lambda changed: changed["start"] == fitting)
    if start != fitting:
        assert change is not None
        assert (change.setting, change.value) == ("start", fitting)


@pytest.mark.parametrize(("fitting", "value"), [({1, 2}, 2), ({2, 4}, 4), ({5, 6}, 5), (set(range(1, 7)), 3)])
def test_what_was_left_open_is_set_near_the_middle(fitting: set[int], value: int) -> None:
    asked = {"octaves": 1, "bpm": 80, "key": "c", "start": None, "tempi": [2]}
    change = nearest_change(SCHEMA, asked, lambda changed: changed["start"] in fitting)
    assert change is not None
    assert (change.setting, change.value) == ("start", value)


def test_the_next_choice_of_four_is_as_far_as_the_next_number_of_four() -> None:
    """And then a number goes first: another choice makes another thing of it."""
    schema = {
        "properties": {
            "hands": {"enum": ["right", "left", "together", "separately"]},
            "octaves": {"type": "integer", "minimum": 1, "maximum": 4},
        }
    }
    asked = {"hands": "together", "octaves": 4}
    change = nearest_change(
        schema, asked, lambda changed: changed["octaves"] <= 3 or changed["hands"] != "together"
    )
    assert change is not None
    assert (change.setting, change.value) == ("octaves", 3)


@pytest.mark.parametrize(("given_tops", "nearest"), [(["g-6"], ["e-6"]), (["f-6", "g-6"], ["e-6"])])
def test_where_no_value_of_a_list_fits_it_is_the_one_next_to_the_first(
    given_tops: list[str], nearest: list[str]
) -> None:
    tops = ["c-6", "d-6", "e-6", "f-6", "g-6"]
    schema = {"properties": {"tops": {"type": "array", "items": {"enum": tops}}}}
    change = nearest_change(
        schema, {"tops": given_tops}, lambda changed: not {"f-6", "g-6"} & {*changed["tops"]}
    )
    assert change is not None
    assert (change.setting, change.value) == ("tops", nearest)
