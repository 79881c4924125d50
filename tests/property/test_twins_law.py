"""Of two tasks that differ in nothing but their id, either will do: the plan that keeps one says so.

Only where the other may be planned too: a day's mental work is shared out before, and may leave one of
them out or with less.
"""

from hypothesis import assume, given
from hypothesis import strategies as st

from tests.strategies import Sent, own_tasks, plan_or_reject, requests


@given(requests(most_tasks=4), own_tasks("twin-1"), st.sampled_from(("repertoire", "technique", "tone")))
def test_keeping_one_of_two_twins_is_a_toss_up(sent: Sent, twin: Sent, area: str) -> None:
    twins = [twin | {"id": name, "area": area, "stage": "maintaining"} for name in ("twin-1", "twin-2")]
    blocks = [*sent["routine"]["blocks"], {"title": "Twins", "tasks": twins}]
    plan = plan_or_reject(sent | {"routine": {"blocks": blocks}, "history": []})
    kept = {step.task for step in plan.steps} & {"twin-1", "twin-2"}
    assume(len(kept) == 1)
    numbers = [task for task in plan.tasks if task.task in {"twin-1", "twin-2"}]
    assume(all(task.available for task in numbers))
    assume(len({task.largest_seconds for task in numbers}) == 1)
    assert plan.toss_up
    other = next(one for one in plan.alternatives if one.why == "another set")
    assert other.worth == plan.certificate.worth
    assert {dose.task for dose in other.doses} != {step.task for step in plan.steps}
