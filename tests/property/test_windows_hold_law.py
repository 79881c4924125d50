"""Set-ups, doses and rests of each window add up to no more than the window, to the second."""

from hypothesis import given

from tests.strategies import Sent, plan_or_reject, requests


@given(requests())
def test_each_window_holds_what_is_planned_into_it(sent: Sent) -> None:
    plan = plan_or_reject(sent)
    for position, window in enumerate(plan.windows):
        inside = [step for step in plan.steps if step.window == position]
        taken = sum(step.seconds + step.set_up_seconds for step in inside)
        assert taken <= window.seconds - window.slack_seconds
        assert sum(step.seconds for step in inside if step.kind == "rest") <= window.rest_seconds


@given(requests())
def test_all_of_it_is_within_the_budget(sent: Sent) -> None:
    plan = plan_or_reject(sent)
    playing = [step for step in plan.steps if step.kind == "task"]
    assert plan.planned_seconds == sum(step.seconds + step.set_up_seconds for step in playing)
    assert plan.planned_seconds <= plan.budget_seconds


@given(requests())
def test_steps_run_through_the_windows_in_order(sent: Sent) -> None:
    plan = plan_or_reject(sent)
    positions = [step.window for step in plan.steps]
    assert positions == sorted(positions)
    assert all(0 <= position < len(plan.windows) for position in positions)
    assert [step.id for step in plan.steps] == [f"s{number}" for number in range(1, len(plan.steps) + 1)]


@given(requests())
def test_each_visit_pays_its_set_up_once(sent: Sent) -> None:
    plan = plan_or_reject(sent)
    set_up = {task.task: task.set_up_seconds for task in plan.tasks}
    paid: set[tuple[int, str]] = set()
    for step in plan.steps:
        if step.task is None:
            continue
        visit = (step.window, step.task)
        assert step.set_up_seconds == (0 if visit in paid else set_up[step.task])
        paid.add(visit)
