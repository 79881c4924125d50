"""What is pinned always is kept, or a finding or a reason says why not; what is pinned never is never planned."""

from hypothesis import given

from tests.strategies import Sent, plan_or_reject, requests


@given(requests())
def test_always_is_kept_or_it_is_said(sent: Sent) -> None:
    plan = plan_or_reject(sent)
    kept = {step.task for step in plan.steps}
    found = {finding.task for finding in plan.findings if finding.question == "pin"}
    always = {task.task for task in plan.tasks if task.pin == "always" and task.available}
    assert always - kept == found


@given(requests())
def test_never_is_never_planned(sent: Sent) -> None:
    plan = plan_or_reject(sent)
    never = {task.task for task in plan.tasks if task.pin == "never"}
    planned = {step.task for step in plan.steps}
    planned |= {rung.task for rung in plan.ladder.rungs}
    planned |= {dose.task for prepared in plan.ladder.prepared for dose in prepared.doses}
    planned |= {dose.task for alternative in plan.alternatives for dose in alternative.doses}
    assert not never & planned
