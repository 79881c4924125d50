"""A quiet day, a day without the instrument, or one with soreness leaves no routine with nothing.

What an ordinary day of the same minutes has a plan for, these days have one for. It holds from five minutes up,
the shortest day for which plans are prepared, or from the day that the routine is cut to by itself.
"""

from bagatelle.model.errors import NothingAllowedError, NothingFitsError
from hypothesis import event, given, settings
from hypothesis import strategies as st

from tests.property.test_mental_work_law import DAYS, studied_requests
from tests.strategies import Sent, plan_of, plan_or_reject, requests

ONE_WINDOW = requests(most_windows=0)


@given(studied_requests() | ONE_WINDOW, st.sampled_from(DAYS), st.sampled_from((None, 5, 8, 20)))
@settings(max_examples=200)
def test_a_hard_day_has_a_plan_where_an_ordinary_one_has(sent: Sent, hard: Sent, minutes: int | None) -> None:
    day = {"minutes": minutes} if minutes is not None else {}
    share = {name: value for name, value in sent.get("policy", {}).items() if name != "share"}
    ordinary = sent | {"circumstances": day, "policy": share}
    plan_or_reject(ordinary)
    try:
        plan = plan_of(ordinary | {"circumstances": day | hard})
    except (NothingAllowedError, NothingFitsError) as error:
        raise AssertionError(f"nothing is left: {error}") from error
    event("planned")
    assert any(step.task is not None for step in plan.steps)
