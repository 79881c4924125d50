"""Other plans that would do, and when it is a toss-up."""

from bagatelle.model.plan import Plan

from tests.strategies import plan_of
from tests.unit.engine.numbers import day_that_plays, own_task, request


def alternatives(plan: Plan) -> dict[str, set[str]]:
    return {each.why: {dose.task for dose in each.doses} for each in plan.alternatives}


def test_twins_are_a_toss_up() -> None:
    plan = plan_of(request(own_task("a", 300), own_task("b", 300), circumstances=day_that_plays(6)))
    assert len({step.task for step in plan.steps}) == 1
    assert plan.toss_up
    assert alternatives(plan)["another set"] ^ {step.task for step in plan.steps} == {"a", "b"}
    assert plan.alternatives[0].worth == plan.certificate.worth


def test_so_are_two_that_only_a_chunk_below_their_floor_tells_apart() -> None:
    # Of 12 minutes each gets at least half of its 12, so whether its chunk is one line or three changes nothing.
    tasks = [
        own_task(name, 60, area="technique", minutes=12, smallest_chunk_seconds=chunk)
        for name, chunk in (("a", 60), ("b", 180))
    ]
    plan = plan_of(request(*tasks, own_task("piece", 60), circumstances={"minutes": 12}))
    assert len({step.task for step in plan.steps} & {"a", "b"}) == 1
    assert plan.toss_up
    assert alternatives(plan)["another set"] ^ {step.task for step in plan.steps} == {"a", "b"}


def test_what_is_clearly_better_is_no_toss_up() -> None:
    tasks = (own_task("a", 300, stage="maintaining"), own_task("b", 300, stage="new"))
    plan = plan_of(request(*tasks, circumstances=day_that_plays(6)))
    assert {step.task for step in plan.steps} == {"a"}
    assert not plan.toss_up
    assert plan.toss_up_sought
    assert alternatives(plan) == {"another set": {"b"}}


def test_fewer_tasks_are_offered_where_there_are_two() -> None:
    plan = plan_of(request(own_task("a", 60), own_task("b", 60), circumstances={"minutes": 20}))
    assert {step.task for step in plan.steps} == {"a", "b"}
    assert len(alternatives(plan)["fewer things"]) == 1
    assert plan.alternatives[0].worth < plan.certificate.worth


def test_one_task_has_no_alternative() -> None:
    plan = plan_of(request(own_task("a", 60)))
    assert plan.alternatives == ()
    assert not plan.toss_up
