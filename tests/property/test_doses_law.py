"""A step's seconds are those of its units; a task's doses are whole units, between its floor and its largest."""

from itertools import cycle, islice

from hypothesis import given

from tests.strategies import Sent, plan_or_reject, requests


@given(requests())
def test_units_come_in_rotation_order_and_go_round_again(sent: Sent) -> None:
    plan = plan_or_reject(sent)
    for task in plan.tasks:
        played = [unit for step in plan.steps if step.task == task.task for unit in step.units]
        assert played == list(islice(cycle(unit.id for unit in task.units), len(played)))


@given(requests())
def test_seconds_are_the_sum_of_the_units(sent: Sent) -> None:
    plan = plan_or_reject(sent)
    lengths = {(task.task, unit.id): unit.seconds for task in plan.tasks for unit in task.units}
    for step in plan.steps:
        if step.task is not None:
            assert step.seconds == sum(lengths[step.task, unit] for unit in step.units)


@given(requests())
def test_the_dose_lies_between_floor_and_largest(sent: Sent) -> None:
    plan = plan_or_reject(sent)
    for task in plan.tasks:
        dose = sum(step.seconds for step in plan.steps if step.task == task.task)
        assert dose == 0 or (task.available and task.floor_seconds <= dose <= task.largest_seconds)


@given(requests())
def test_each_task_is_kept_or_left_out_with_a_reason(sent: Sent) -> None:
    plan = plan_or_reject(sent)
    kept = {step.task for step in plan.steps if step.task is not None}
    left_out = {each.task for each in plan.left_out}
    assert not kept & left_out
    assert {task.task for task in plan.tasks if not task.stand_in} == left_out | {
        task for task in kept if not task.startswith("_")
    }
    assert all(each.reasons and all(reason.because for reason in each.reasons) for each in plan.left_out)
