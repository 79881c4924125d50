"""More minutes in one window never give a plan of less worth, once the floors have stopped growing.

A floor is half of the budget up to half of the task's usual time, so below the longest usual time a longer day
asks for longer pieces, and its plan may be worth less. And a plan that gave way somewhere may be worth more than
a longer one that keeps every rule. What holds: from a plan that keeps every rule with usual floors, at least ten
minutes long (the music rule holds from there on) and as long as the longest task, more minutes add or keep.
"""

from bagatelle.model.plan import Plan
from hypothesis import assume, given
from hypothesis import strategies as st

from tests.strategies import Sent, plan_of, plan_or_reject, routines

TEN_MINUTES = 600
HALF_AN_HOUR = 2000
"""A tenth of it stays free."""
FIVE_MINUTES = 333
"""A tenth of these too."""


def gives_way(plan: Plan) -> bool:
    unmet_pin = any(finding.question == "pin" for finding in plan.findings)
    return plan.floor_mode != "usual" or unmet_pin or not all(rule.kept for rule in plan.rules)


@st.composite
def long_routines(draw: st.DrawFn) -> Sent:
    """Routines whose half is longer than their longest task."""
    routine = draw(routines("piano", most_tasks=8))
    more = [{"title": f"Piece {number}", "area": "repertoire", "minutes": 45} for number in range(3)]
    return {"blocks": [*routine["blocks"], {"title": "Pieces", "tasks": more}]}


@given(long_routines(), st.floats(0, 1), st.floats(0, 1))
def test_more_minutes_are_worth_as_much_or_more(routine: Sent, shorter: float, longer: float) -> None:
    sent = {"routine": routine, "instrument": "piano", "date": "2027-03-01", "measure_ladder": False}
    half = plan_or_reject(sent | {"policy": {"share": 0.5}})
    least = max(TEN_MINUTES, max(task.usual_seconds for task in half.tasks))
    assume(least <= half.budget_seconds)
    first, second = sorted(least + round(part * (half.budget_seconds - least)) for part in (shorter, longer))
    short, long = (
        plan_of(sent | {"circumstances": {"minutes": seconds / 60}}) for seconds in (first, second)
    )
    assume(not gives_way(short) and long.certificate.proved)
    assert not gives_way(long)
    assert short.certificate.worth <= long.certificate.worth


@given(routines("piano", most_tasks=6), st.integers(1, FIVE_MINUTES - 1))
def test_minutes_that_only_rest_change_nothing(routine: Sent, more: int) -> None:
    """From 30 to 35 minutes beside its slack a window gains rest alone (common practice, no source): the same is
    played.
    """
    long_task = {"title": "Whole piece", "area": "repertoire", "minutes": 120}
    blocks = [*routine["blocks"], {"title": "Piece", "tasks": [long_task]}]
    sent = {
        "routine": {"blocks": blocks},
        "instrument": "piano",
        "date": "2027-03-01",
        "measure_ladder": False,
    }
    short, long = (
        plan_or_reject(sent | {"circumstances": {"minutes": seconds / 60}})
        for seconds in (HALF_AN_HOUR, HALF_AN_HOUR + more)
    )
    assert long.certificate.worth == short.certificate.worth
