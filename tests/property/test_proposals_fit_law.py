"""What is proposed never makes a routine too long for the day that it would be planned for by itself."""

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.property.test_proposals_settle_law import bare_requests, patched
from tests.strategies import Sent, plan_of, plan_or_reject, requests

LEAST_SECONDS = 30
"""The piece in which a task without passages is counted."""


@given(bare_requests())
@settings(max_examples=100)
def test_a_bare_routine_keeps_its_plan(sent: Sent) -> None:
    assert plan_of(patched(sent, plan_of(sent).findings)).steps


@given(requests(most_windows=0))
@settings(max_examples=100)
def test_any_routine_that_has_a_plan_keeps_it(sent: Sent) -> None:
    day = {name: value for name, value in sent["circumstances"].items() if name != "minutes"}
    sent = sent | {"circumstances": day}
    assert plan_of(patched(sent, plan_or_reject(sent).findings)).steps


@given(bare_requests())
@settings(max_examples=100)
def test_each_proposed_piece_is_within_its_task_and_within_the_day(sent: Sent) -> None:
    plan = plan_of(patched(sent, plan_of(sent).findings))
    for task in plan.tasks:
        if not task.stand_in:
            most = min(task.usual_seconds, plan.budget_seconds - task.set_up_seconds)
            assert all(unit.seconds <= max(most, LEAST_SECONDS) for unit in task.units)


@given(st.integers(1, 600), st.sampled_from(("piano", "snare-drum", None)))
@settings(max_examples=100)
def test_a_lesson_of_theory_alone(minutes: int, instrument: str | None) -> None:
    sent: Sent = {"routine": {"blocks": [{"title": "Theory", "minutes": minutes}]}, "measure_ladder": False}
    if instrument is not None:
        sent["instrument"] = instrument
    assert plan_of(patched(sent, plan_of(sent).findings)).findings == ()
