"""A reason for leaving a task out tells it from what is kept: it holds for nothing that is kept, warm-ups apart."""

from hypothesis import given

from tests.strategies import Sent, plan_or_reject, requests

OF_THE_TASK = {"need", "stage", "concreteness"}


@given(requests())
def test_what_speaks_against_a_task_speaks_against_nothing_kept(sent: Sent) -> None:
    plan = plan_or_reject(sent)
    played = {step.task for step in plan.steps}
    kept = [task.factors for task in plan.tasks if task.task in played and not task.prepares]
    for left in plan.left_out:
        for reason in left.reasons:
            if reason.factor in OF_THE_TASK:
                assert reason.value is not None
                assert all(reason.value < getattr(factors, reason.factor) for factors in kept)
