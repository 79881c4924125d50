"""A variant is the forecast of its own routine and policy; what differs is told, and nothing else."""

from typing import Any

from bagatelle.model.forecast import Outcome
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import asdict

from tests.forecast_strategies import forecast_of, forecast_requests
from tests.strategies import Sent, routines

COMPARED = ("seconds", "days", "longest_gap_days", "units_covered", "units")
OF_ALL = ("days_kept", "longest_gap_days", "short_days_without_playing", "seconds")
POLICIES: tuple[Sent, ...] = ({"share": 0.1}, {"share": 0.4, "seconds_per_task": 120}, {"near_days": 3}, {})


@st.composite
def requests_with_variants(draw: st.DrawFn) -> Sent:
    sent: Sent = draw(forecast_requests())
    variant: Sent = {"policy": draw(st.sampled_from(POLICIES))}
    if draw(st.booleans()):
        variant["routine"] = draw(routines("piano", 4))
    return sent | {"variant": variant}


@given(requests_with_variants())
def test_a_variant_is_a_forecast_of_its_own(sent: Sent) -> None:
    made = forecast_of(sent)
    own = forecast_of({name: value for name, value in sent.items() if name != "variant"} | sent["variant"])
    assert made.variant is not None
    assert made.variant.with_plans == own.with_plans
    assert made.variant.without_plans == own.without_plans


@given(requests_with_variants())
def test_what_differs_is_told_and_nothing_else(sent: Sent) -> None:
    made = forecast_of(sent)
    assert made.variant is not None
    differences = made.variant.differences
    for name in OF_ALL:
        change, base, variant = (
            getattr(each, name) for each in (differences, made.with_plans, made.variant.with_plans)
        )
        assert (change.base, change.variant) == (base, variant) if change else base == variant
    for rows, key in ((differences.tasks, "task"), (differences.areas, "area")):
        before, after = (
            numbers(outcome, f"{key}s") for outcome in (made.with_plans, made.variant.with_plans)
        )
        told = {
            (getattr(row, key), name): (getattr(row, name).base, getattr(row, name).variant)
            for row in rows
            for name in COMPARED
            if getattr(row, name)
        }
        expected = {
            place: (before.get(place), after.get(place))
            for place in before | after
            if before.get(place) != after.get(place)
        }
        assert told == expected


@given(forecast_requests())
def test_no_change_no_difference(sent: Sent) -> None:
    made = forecast_of(sent | {"variant": {"routine": sent["routine"]}})
    assert made.variant is not None
    assert made.variant.differences == type(made.variant.differences)()


def numbers(outcome: Outcome, rows: str) -> dict[tuple[str, str], Any]:
    return {
        (row[rows.removesuffix("s")], name): row[name]
        for row in map(asdict, getattr(outcome, rows))
        for name in COMPARED
    }
