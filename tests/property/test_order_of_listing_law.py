"""The order in which tasks are listed in their block, or the log in the history, changes nothing in the plan."""

from typing import Any

from bagatelle.model.plan import Plan
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import asdict

from tests.strategies import Sent, plan_or_reject, requests


def without_pointers(plan: Plan) -> dict[str, Any]:
    """The plan, findings (which point into the request) told apart by task and question alone."""
    findings = sorted((finding.task or "", finding.question) for finding in plan.findings)
    return asdict(plan) | {"findings": findings}


@given(requests(measured=True), st.randoms(use_true_random=False))
def test_order_of_tasks_in_a_block(sent: Sent, random: Any) -> None:
    plan = plan_or_reject(sent)
    blocks = []
    for block in sent["routine"]["blocks"]:
        tasks = list(block.get("tasks", ()))
        random.shuffle(tasks)
        blocks.append(block | ({"tasks": tasks} if tasks else {}))
    shuffled = plan_or_reject(sent | {"routine": {"blocks": blocks}})
    assert shuffled.fingerprint == plan.fingerprint
    assert without_pointers(shuffled) == without_pointers(plan)


@given(requests(), st.randoms(use_true_random=False))
def test_order_of_the_history(sent: Sent, random: Any) -> None:
    plan = plan_or_reject(sent)
    history = list(sent["history"])
    random.shuffle(history)
    assert plan_or_reject(sent | {"history": history}) == plan
