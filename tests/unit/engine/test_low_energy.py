"""A day of low energy: high strain only where nothing else may be planned."""

from tests.strategies import Sent, plan_of
from tests.unit.engine.numbers import own_task, request

LOW: Sent = {"circumstances": {"energy": "low"}}


def test_high_strain_is_left_out_though_it_is_worth_more() -> None:
    octaves = own_task("octaves", 60, strain="high", pin="more")
    new = own_task("sonata", 60, stage="new")
    assert "octaves" in {step.task for step in plan_of(request(octaves, new)).steps}
    plan = plan_of(request(octaves, new) | LOW)
    assert "octaves" not in {step.task for step in plan.steps}
    (left_out,) = (each for each in plan.left_out if each.task == "octaves")
    assert left_out.reasons[0].because == "the most strain, and there is little energy today"
    assert "octaves" not in {rung.task for rung in plan.ladder.rungs}


def test_high_strain_is_planned_where_there_is_nothing_else() -> None:
    plan = plan_of(request(own_task("octaves", 60, strain="high"), own_task("never", 60, pin="never")) | LOW)
    assert {step.task for step in plan.steps} == {"octaves"}


def test_after_weeks_away_high_strain_is_left_out_too_where_all_strains() -> None:
    history = [{"task": "octaves", "date": "2027-01-10", "seconds": 600}]
    octaves, trills = own_task("octaves", 60, strain="high"), own_task("trills", 60, strain="moderate")
    plan = plan_of(request(octaves, trills, date="2027-03-01", history=history) | LOW)
    assert {step.task for step in plan.steps} == {"trills"}


def test_moderate_strain_counts_seven_tenths() -> None:
    plan = plan_of(request(own_task("trills", 60, strain="moderate"), own_task("waltz", 60)) | LOW)
    assert {task.task: task.factors.circumstances for task in plan.tasks} == {"trills": 0.7, "waltz": 1.0}
