"""What is pinned always is kept, or a finding says that it is not; what is pinned never is never planned."""

from hypothesis import example, given

from tests.strategies import Sent, plan_or_reject, requests

SHUT_OUT: Sent = {
    "routine": {
        "blocks": [
            {
                "title": "Evening",
                "tasks": [
                    {"id": "octaves", "title": "Octaves", "minutes": 20, "strain": "high", "pin": "always"},
                    {"id": "waltz", "title": "Waltz", "minutes": 20},
                ],
            }
        ]
    },
    "circumstances": {"energy": "low"},
}
"""What strains is out on a day of little energy, before anything is searched for."""


@given(requests())
@example(SHUT_OUT)
def test_always_is_kept_or_it_is_said(sent: Sent) -> None:
    plan = plan_or_reject(sent)
    kept = {step.task for step in plan.steps}
    found = {finding.task for finding in plan.findings if finding.question == "pin"}
    always = {task.task for task in plan.tasks if task.pin == "always"}
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
