"""Pins that no day of that length can hold together give way; what is planned is a legal plan all the same."""

from bagatelle import compress
from bagatelle.verify import verify_answer
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.strategies import Sent, instruments, plan_of, request_of
from tests.unit.engine.numbers import own_task, request


@st.composite
def crowded_with_pins(draw: st.DrawFn) -> Sent:
    """Two to four tasks that are always to be kept, of one or two long pages each, in one short window."""
    tasks = [
        own_task(
            f"piece-{number}",
            *draw(st.lists(st.integers(60, 500), min_size=1, max_size=2)),
            pin="always",
            minutes=draw(st.integers(5, 60)),
            set_up_seconds=draw(st.sampled_from((0, 30, 240))),
            strain=draw(st.sampled_from(("low", "moderate"))),
            area=draw(st.sampled_from(("repertoire", "warm-up"))),
        )
        for number in range(draw(st.integers(2, 4)))
    ]
    rest: Sent = {"title": "Orchestra", "minutes": 120, "pin": "never"}
    return request(*tasks, rest, circumstances={"minutes": draw(st.integers(13, 30))})  # each fits alone


@given(crowded_with_pins())
@settings(max_examples=150)
def test_a_plan_is_accepted_where_pins_give_way(sent: Sent) -> None:
    assert verify_answer(compress(request_of(sent), instruments())).faults == ()


def test_three_pinned_pieces_that_fit_one_by_one() -> None:
    # Set-up and one page of each: 540, 620 and 510 s; 900 s hold any one of them, and no two.
    tasks = [
        own_task("a", 300, pin="always", set_up_seconds=240),
        own_task("b", 500, pin="always", set_up_seconds=120),
        own_task("c", 500, pin="always", set_up_seconds=10),
    ]
    plan = plan_of(request(*tasks, circumstances={"minutes": 15}))
    assert 0 < plan.planned_seconds <= plan.budget_seconds == 900
    assert len({step.task for step in plan.steps}) == 1
    assert {finding.question for finding in plan.findings} == {"pin"}
