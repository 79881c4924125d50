"""The sums of a forecast agree with each other, and plans only ever add."""

from bagatelle.model.forecast import AreaForecast, Outcome, TaskForecast
from hypothesis import given

from tests.forecast_strategies import forecast_of, forecast_requests
from tests.strategies import Sent


@given(forecast_requests())
def test_sums(sent: Sent) -> None:
    made = forecast_of(sent)
    assert made.usual_days + made.short_days + made.no_time_days == made.days == len(made.stretch)
    for outcome in (made.with_plans, made.without_plans):
        assert_sums_agree(outcome, made.days)
    assert sum(day.seconds for day in made.stretch) == made.with_plans.seconds
    assert made.without_plans.days_kept == made.usual_days
    assert made.without_plans.short_days_without_playing == made.short_days
    assert (
        made.with_plans.days_kept
        == made.usual_days + made.short_days - made.with_plans.short_days_without_playing
    )


@given(forecast_requests())
def test_plans_only_add(sent: Sent) -> None:
    made = forecast_of(sent)
    assert made.with_plans.days_kept >= made.without_plans.days_kept
    assert made.with_plans.longest_gap_days <= made.without_plans.longest_gap_days
    pairs: list[tuple[AreaForecast | TaskForecast, AreaForecast | TaskForecast]] = [
        *zip(made.with_plans.areas, made.without_plans.areas, strict=True),
        *zip(made.with_plans.tasks, made.without_plans.tasks, strict=True),
    ]
    for with_plans, without in pairs:
        assert with_plans.seconds >= without.seconds
        assert with_plans.days >= without.days
        assert with_plans.longest_gap_days <= without.longest_gap_days
        assert with_plans.units == without.units


def assert_sums_agree(outcome: Outcome, days: int) -> None:
    assert outcome.seconds == sum(area.seconds for area in outcome.areas)
    assert outcome.longest_gap_days <= days - outcome.days_kept
    for area in outcome.areas:
        inside = [task for task in outcome.tasks if task.area == area.area]
        assert area.seconds == sum(task.seconds for task in inside)
        assert area.units_covered == sum(task.units_covered for task in inside)
        assert area.units == sum(task.units for task in inside)
        assert max(task.days for task in inside) <= area.days <= outcome.days_kept
        assert area.longest_gap_days <= min(task.longest_gap_days for task in inside)
    rows: list[AreaForecast | TaskForecast] = [*outcome.areas, *outcome.tasks]
    for row in rows:
        assert 0 <= row.units_covered <= row.units
        assert (row.days == 0) == (row.seconds == 0)
        assert row.longest_gap_days <= days - row.days
        assert row.longest_gap_days * (row.days + 1) >= days - row.days
    assert {task.area for task in outcome.tasks} == {area.area for area in outcome.areas}
