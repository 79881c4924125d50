"""A step's seconds are those of its units; a task's doses are whole units, between its floor and its largest."""

from collections import Counter
from itertools import cycle, islice

from hypothesis import given

from tests.strategies import Sent, plan_or_reject, requests


@given(requests())
def test_each_step_holds_what_comes_next_in_rotation_and_goes_round_again(sent: Sent) -> None:
    plan = plan_or_reject(sent)
    for task in plan.tasks:
        in_rotation = cycle(unit.id for unit in task.units)
        for step in plan.steps:
            if step.task == task.task:
                assert Counter(step.units) == Counter(islice(in_rotation, len(step.units)))


@given(requests())
def test_each_round_of_a_step_goes_in_the_own_order(sent: Sent) -> None:
    plan = plan_or_reject(sent)
    places = {(task.task, unit.id): unit.place for task in plan.tasks for unit in task.units}
    counts = {task.task: len(task.units) for task in plan.tasks}
    for step in plan.steps:
        if step.task is None:
            continue
        played = [places[step.task, unit] for unit in step.units]
        for start in range(0, len(played), counts[step.task]):
            of_round = played[start : start + counts[step.task]]
            assert of_round == sorted(set(of_round))


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
