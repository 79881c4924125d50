"""A plugin that hands over too much, or something without an end, is left out before any of it is copied."""

import itertools
from collections.abc import Iterator, Mapping
from typing import Any

import pytest
from bagatelle.catalogue import load_instruments
from bagatelle.catalogue.answers import EXERCISES_LIMIT, INSTRUMENTS_LIMIT, LOCALES_LIMIT
from bagatelle.catalogue.faults import FAULTS_SHOWN, RefusedError
from bagatelle.catalogue.size import BITS_LIMIT, check_size
from bagatelle.contract import Material, Texts
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from tests.unit.catalogue.sample_plugins import HUM, KAZOO, SamplePlugin, hum, point


def reason_of(plugin: SamplePlugin) -> str:
    (report,) = load_instruments(entry_points=[point(plugin)]).plugins
    assert report.status == "left out"
    assert report.reason is not None
    return report.reason


class Endless(list[Any]):
    """A list of nothing that never ends for whoever goes through it."""

    def __iter__(self) -> Iterator[Any]:
        return itertools.repeat(KAZOO)

    def __len__(self) -> int:
        return 1


class EndlessTuple(tuple[Any, ...]):
    __slots__ = ()

    def __iter__(self) -> Iterator[Any]:
        return itertools.repeat(KAZOO)


class EndlessDict(dict[str, Any]):
    def items(self) -> Any:
        return itertools.repeat(("bpm", 60))

    def __iter__(self) -> Iterator[str]:
        return itertools.repeat("bpm")


def test_an_endless_generator_is_never_gone_through() -> None:
    def endless() -> Iterator[Any]:
        yield from itertools.repeat(KAZOO)

    assert "bagatelle_instruments: is a generator (accepted: a tuple)" in reason_of(
        SamplePlugin(instruments=endless())
    )
    assert "bagatelle_instruments: is a repeat" in reason_of(
        SamplePlugin(instruments=itertools.repeat(KAZOO))
    )


@pytest.mark.parametrize("answer", [Endless(), EndlessTuple()])
def test_a_list_that_never_ends_is_what_it_really_holds(answer: Any) -> None:
    assert "hands over no instrument that could be used" in reason_of(SamplePlugin(instruments=answer))


def test_a_mapping_that_never_ends_is_what_it_really_holds() -> None:
    exercise = replace(HUM, defaults=EndlessDict(notes=["C"], bpm=60))
    (report,) = load_instruments(
        entry_points=[point(SamplePlugin(instruments=(replace(KAZOO, exercises=(exercise,)),)))]
    ).plugins
    assert report.status == "loaded"


def test_material_that_never_ends_is_what_it_really_holds() -> None:
    def material(settings: Mapping[str, Any]) -> Material:
        return replace(hum(settings), units=EndlessTuple())

    assert "has 0 units" in reason_of(SamplePlugin(material=material))


def test_too_many_instruments_and_locales() -> None:
    assert (
        f"hands over {INSTRUMENTS_LIMIT + 1} instruments (accepted: at most {INSTRUMENTS_LIMIT})"
        in reason_of(SamplePlugin(instruments=(KAZOO,) * (INSTRUMENTS_LIMIT + 1)))
    )
    assert f"hands over {LOCALES_LIMIT + 1} locales" in reason_of(
        SamplePlugin(texts=(Texts(locale="en", messages={}),) * (LOCALES_LIMIT + 1))
    )


def test_too_many_exercises_of_all_instruments_together() -> None:
    half = replace(KAZOO, exercises=(HUM,) * (EXERCISES_LIMIT // 2 + 1))
    assert f"hands over {EXERCISES_LIMIT + 2} exercises (accepted: at most {EXERCISES_LIMIT})" in reason_of(
        SamplePlugin(instruments=(half, half))
    )


def test_a_catalogue_that_holds_the_same_again_and_again_is_counted_as_it_would_be_written() -> None:
    """Thirty lists, each twice in the next: small in memory, and a thousand million values written down."""
    doubled: list[Any] = ["C"]
    for _ in range(30):
        doubled = [doubled, doubled]
    exercise = replace(HUM, defaults={"notes": doubled, "bpm": 60})
    assert "bagatelle_instruments: is too large (accepted: at most 1000000 values" in reason_of(
        SamplePlugin(instruments=(replace(KAZOO, exercises=(exercise,)),))
    )


def test_what_holds_itself() -> None:
    itself: list[Any] = []
    itself.append(itself)
    exercise = replace(HUM, defaults={"notes": itself, "bpm": 60})
    assert "is too large" in reason_of(SamplePlugin(instruments=(replace(KAZOO, exercises=(exercise,)),)))


def test_texts_that_are_too_long() -> None:
    book = "la " * 100_000
    assert "bagatelle_texts: is too large" in reason_of(
        SamplePlugin(texts=(Texts(locale="en", messages={f"kazoo.{page}": book for page in range(100)}),))
    )


def test_material_that_is_too_large() -> None:
    def material(settings: Mapping[str, Any]) -> Material:
        made = hum(settings)
        return replace(made, units=made.units * 50_000)

    assert "material of kazoo.hum: is too large (accepted: at most 100000 values" in reason_of(
        SamplePlugin(material=material)
    )


def test_a_whole_number_that_is_too_long() -> None:
    exercise = replace(HUM, defaults={"notes": ["C"], "bpm": 10**1000})
    assert f"a whole number has more than {BITS_LIMIT} bits" in reason_of(
        SamplePlugin(instruments=(replace(KAZOO, exercises=(exercise,)),))
    )


def test_so_many_faults_are_shown_and_the_others_counted() -> None:
    exercises = tuple(replace(HUM, id=f"comb.{number}" + "x" * 5_000) for number in range(EXERCISES_LIMIT))
    reason = reason_of(SamplePlugin(instruments=(replace(KAZOO, exercises=exercises),)))
    assert reason.count(";") <= FAULTS_SHOWN
    assert len(reason) < 200_000
    assert " more" in reason[-30:]


json_values = st.recursive(
    st.none() | st.booleans() | st.integers(-(2**63), 2**64 - 1) | st.floats() | st.text(max_size=5),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=3), inner, max_size=4),
    max_leaves=20,
)


def counted(value: Any) -> int:
    if isinstance(value, dict):
        return 1 + sum(1 + counted(each) for each in value.values())
    return 1 + sum(map(counted, value)) if isinstance(value, list) else 1


@given(json_values)
def test_the_limit_is_met_exactly(value: Any) -> None:
    """Against a plain recursive count."""
    count = counted(value)
    check_size("answer", value, values_limit=count)
    with pytest.raises(RefusedError, match="too large"):
        check_size("answer", value, values_limit=count - 1)
