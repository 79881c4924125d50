"""The routine's own warm-up opens the day, where something is played and it does not eat the day."""

import pytest
from bagatelle.model.plan import Plan, RuleReport

from tests.strategies import Sent, plan_of
from tests.unit.engine.numbers import day_that_plays, own_task, request

EASY = own_task(
    "easy", 60, area="warm-up", minutes=8, smallest_chunk_seconds=60, set_up_seconds=0, pin="less"
)
WALTZ = own_task("waltz", 60, smallest_chunk_seconds=60, set_up_seconds=0)
SONG = own_task("song", 60, smallest_chunk_seconds=60, set_up_seconds=0)


def report(plan: Plan) -> RuleReport:
    (rule,) = (each for each in plan.rules if each.rule == "own-warm-up-first")
    return rule


def played(plan: Plan) -> list[str | None]:
    return [step.task for step in plan.steps]


@pytest.mark.parametrize("minutes", [5, 10, 20])
def test_it_comes_first_though_it_is_worth_least(minutes: int) -> None:
    plan = plan_of(request(WALTZ, SONG, EASY, circumstances=day_that_plays(minutes)))
    assert played(plan)[0] == "easy"
    assert len(played(plan)) > 1
    assert report(plan).kept


def test_what_else_prepares_comes_after_it() -> None:
    tone = own_task("tone", 60, area="tone", minutes=5, due="2027-03-02", smallest_chunk_seconds=60)
    plan = plan_of(request(tone, WALTZ, EASY, date="2027-03-01", circumstances=day_that_plays(12)))
    assert played(plan)[0] == "easy"
    assert "tone" in played(plan)


@pytest.mark.parametrize(
    ("day", "changes"),
    [
        ({"minutes": 4.9}, {}),  # under five minutes
        ({"minutes": 10}, {"smallest_chunk_seconds": 240}),  # over a third of the nine minutes
        ({"minutes": 10, "soreness": True}, {}),  # nothing is played, nothing to warm up for
        ({"minutes": 10}, {"strain": "moderate"}),  # it prepares nothing
    ],
)
def test_where_it_is_not_asked_for(day: Sent, changes: Sent) -> None:
    plan = plan_of(request(WALTZ, SONG, EASY | changes, circumstances=day))
    assert "easy" not in played(plan)
    assert report(plan).kept
    assert report(plan).because.startswith("the day is short for it")


def test_it_gives_way_to_what_is_pinned_and_that_is_said() -> None:
    pinned = own_task("sonata", 500, set_up_seconds=0, pin="always")
    plan = plan_of(request(pinned, SONG, EASY, circumstances={"minutes": 10}))
    assert played(plan) == ["sonata"]
    assert not report(plan).kept
    assert plan.floor_mode == "usual"
