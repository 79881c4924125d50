"""The ladder of one task, walked by hand: 40 minutes in half minutes, half a minute of set-up."""

import math
from itertools import pairwise

import pytest
from bagatelle.engine.ladder import measured_minutes
from bagatelle.model.plan import Plan

from tests.strategies import plan_of

WEIGHT = 0.95 * 0.60  # refining where no stage is named; open, as questions are open


@pytest.fixture(scope="module")
def plan() -> Plan:
    block = {"title": "Sonatina", "area": "repertoire", "minutes": 40}
    return plan_of({"routine": {"blocks": [block]}, "measure_ladder": True})


def worth(seconds: int) -> int:
    share = (1 - math.exp(-2 * seconds / 2400)) / (1 - math.exp(-2))
    return round(1000 * WEIGHT * 2400 * share)


def test_plans_are_prepared_up_to_the_half(plan: Plan) -> None:
    doses = {each.budget_seconds: [dose.seconds for dose in each.doses] for each in plan.ladder.prepared}
    # Among them 5, 10 and 15 minutes; the quarter (10) and the half (20).
    assert doses.keys() >= {300, 600, 900, 1200}
    assert doses == {budget: [budget - 30] for budget in doses}


def test_five_minutes_do_not_hold_the_chunk_of_five_and_its_set_up(plan: Plan) -> None:
    for each in plan.ladder.prepared:
        assert each.floor_mode == ("unit" if each.budget_seconds < 330 else "usual")


def test_rungs_lift_to_the_whole(plan: Plan) -> None:
    lifts = [(rung.to_seconds, rung.cost_seconds) for rung in plan.ladder.rungs]
    assert [seconds for seconds, _ in lifts] == sorted({seconds for seconds, _ in lifts})
    assert lifts[0] == (270, 300)  # the set-up is paid by the first
    assert lifts[-1][0] == 2400
    assert sum(cost for _, cost in lifts) == 2430


@pytest.mark.parametrize(
    ("minutes", "seconds"),
    [
        (5, 270),
        (7, 390),  # from the plan of 5 minutes on: 420 - 30
        (10, 570),
        (30, 1770),
        (32, 1770),  # 32 minutes hold 30 of playing
        (40, 2070),  # 40 minutes hold 35
    ],
)
def test_the_walk(plan: Plan, minutes: int, seconds: int) -> None:
    walked = {minute.minutes: minute for minute in plan.ladder.minutes}
    assert walked[minutes].worth == worth(seconds)


def test_the_walk_of_one_task_is_the_optimum(plan: Plan) -> None:
    assert [minute.minutes for minute in plan.ladder.minutes] == list(range(5, 41))
    assert all(minute.worth == minute.best and minute.proved for minute in plan.ladder.minutes)
    assert plan.ladder.lowest_ratio == plan.ladder.mean_ratio == 1.0


def test_a_long_routine_is_measured_at_some_of_its_minutes() -> None:
    assert measured_minutes(60 * 124, tasks=5) == list(range(5, 125))
    some = measured_minutes(60 * 1000, tasks=5)
    assert (some[0], some[-1]) == (5, 1000)
    assert len(some) < 996
    gaps = {later - earlier for earlier, later in pairwise(some)}
    assert max(gaps) - min(gaps) <= 1
