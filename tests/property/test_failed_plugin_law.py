"""Whatever is asked, and whichever exercises their plugin fails for, the plan stands.

It accounts for every task and is accepted by the verifier; where no failing exercise is asked about, it is the same
to the byte.
"""

from collections.abc import Callable, Collection

import msgspec
from bagatelle import Instruments, compress
from bagatelle.catalogue.guard import HookCall
from bagatelle.contract import Material
from bagatelle.model.errors import (
    NoShortDayFitsError,
    NothingAllowedError,
    NothingFitsError,
    PluginError,
)
from bagatelle.model.plan import CompressionAnswer
from bagatelle.model.request import CompressionRequest
from bagatelle.verify import verify_answer
from hypothesis import event, given, reject, settings
from hypothesis import strategies as st

from tests.strategies import Sent, instruments, request_of, requests


def failing_for(exercises: Collection[str]) -> Instruments:
    def guard(call: HookCall, ask: Callable[[], Material]) -> Material:
        if call.exercise in exercises:
            raise PluginError(call.plugin, call.hook, call.exercise, "by design")
        return ask()

    return instruments().guarded_by(guard)


def answer_to(request: CompressionRequest, loaded: Instruments) -> CompressionAnswer:
    try:
        return compress(request, loaded)
    except (NothingFitsError, NoShortDayFitsError, NothingAllowedError):
        reject()


@given(requests(), st.data())
@settings(max_examples=60, deadline=None)
def test_the_plan_stands_and_accounts_for_every_task(sent: Sent, data: st.DataObject) -> None:
    request = request_of(sent)
    healthy = answer_to(request, instruments())
    asked = {task.exercise for block in request.routine.blocks for task in block.tasks if task.exercise}
    failing = data.draw(st.sets(st.sampled_from(sorted(asked)))) if asked else set()
    try:
        answer = answer_to(request, failing_for(failing))
    except PluginError:
        assert failing
        return
    problems = answer.plan.plugin_problems or ()
    event("something failed" if problems else "nothing failed")
    if not problems:
        # All of these have their default settings, which are known from the load.
        assert msgspec.json.encode(answer) == msgspec.json.encode(healthy)
    assert {problem.exercise for problem in problems} <= failing
    assert verify_answer(answer).faults == ()
    plan, whole = answer.plan, healthy.plan
    assert (plan.usual_seconds, plan.budget_seconds) == (whole.usual_seconds, whole.budget_seconds)
    planned = {step.task for step in plan.steps if step.task} - {"_warm-up"}
    left_out = {left.task for left in plan.left_out}
    assert not planned & left_out
    assert planned | left_out == {numbers.task for numbers in whole.tasks if not numbers.stand_in}
    assert {problem.task for problem in problems} <= left_out
