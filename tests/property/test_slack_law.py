"""Of each window that a day gives a tenth stays free, half a minute at least and half of it at most.

With little energy more. Nothing is left free of a budget that nobody ends: where the day gives no time, or more
than counts as short (common practice, no source).
"""

from fractions import Fraction

import pytest
from bagatelle.engine.budget import Slack
from bagatelle.model.plan import Plan
from hypothesis import given
from hypothesis import strategies as st

from tests.strategies import Sent, plan_of, plan_or_reject, requests
from tests.unit.engine.numbers import own_task, request

SHARES = {"usual": Fraction(1, 10), "low": Fraction(15, 100)}
HALF_A_MINUTE = 30


def free_of(plan: Plan) -> list[int]:
    return [window.slack_seconds for window in plan.windows]


def expected(seconds: int, energy: str) -> int:
    return min(max(int(seconds * SHARES[energy]), HALF_A_MINUTE), seconds // 2)


@given(requests())
def test_a_part_of_each_given_window_stays_free(sent: Sent) -> None:
    plan = plan_or_reject(sent)
    day = sent.get("circumstances", {})
    given_time = len(day.get("windows", ())) > 1 or (
        sum(60 * window["minutes"] for window in day.get("windows", ())) or 60 * day.get("minutes", 0)
    ) == pytest.approx(plan.budget_seconds, abs=0.5)
    wanted = [
        expected(window.seconds, day.get("energy", "usual")) if given_time else 0 for window in plan.windows
    ]
    assert free_of(plan) == wanted
    for position, window in enumerate(plan.windows):
        inside = [step for step in plan.steps if step.window == position]
        taken = sum(step.seconds + step.set_up_seconds for step in inside)
        assert taken + window.slack_seconds <= window.seconds


@given(st.integers(1, 40_000), st.sampled_from((0.0, 0.1, 0.15, 0.5)), st.sampled_from((0, 30, 90)))
def test_the_smallest_window_beside_its_slack(seconds: int, share: float, least: int) -> None:
    slack = Slack(share=share, least_seconds=least)
    window = slack.smallest_window_of(seconds)
    assert window - slack.seconds_of(window) >= seconds
    assert window == 1 or window - 1 - slack.seconds_of(window - 1) < seconds


@given(st.integers(1, 40_000), st.sampled_from((0.0, 0.1, 0.15, 0.5)))
def test_a_longer_window_never_holds_less(seconds: int, share: float) -> None:
    slack = Slack(share=share, least_seconds=30)
    assert slack.seconds_of(seconds + 1) - slack.seconds_of(seconds) <= 1
    assert 0 <= slack.seconds_of(seconds) <= seconds / 2


@pytest.mark.parametrize(
    ("day", "free"),
    [
        ({"minutes": 10}, [60]),
        ({"minutes": 10, "energy": "low"}, [90]),
        ({"minutes": 2}, [30]),
        ({"windows": [{"minutes": 3}, {"minutes": 8}]}, [30, 48]),
        ({}, [0]),  # the quarter: nobody ends it
        ({"minutes": 60}, [0]),  # held to the half: the day goes on
    ],
)
def test_what_stays_free_of_a_day(day: Sent, free: list[int]) -> None:
    sent = request(own_task("waltz", 20), own_task("scales", 20), circumstances=day)
    assert free_of(plan_of(sent)) == free


def test_floors_go_by_what_is_played_and_rules_by_what_is_given() -> None:
    """Twenty minutes hold 18: floors of nine, and music as from ten minutes on, not from eleven."""
    sent = request(own_task("waltz", 20), own_task("scales", 20, area="technique"))
    plan = plan_of(sent | {"circumstances": {"minutes": 20}})
    assert {task.floor_seconds for task in plan.tasks} == {500}  # 18 / 2 less 30 s of set-up: 510, in 20 s
    at_ten = plan_of(sent | {"circumstances": {"minutes": 10}})
    assert "waltz" in {step.task for step in at_ten.steps}
