"""The budget: a quarter of the usual time, or the time given, and never more than counts as short."""

import math
from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from tests.strategies import Sent, plan_or_reject

QUARTER = Fraction(1, 4)  # common practice, no source
HALF = Fraction(1, 2)  # common practice, no source
THREE_MINUTES = 180

MINUTES = st.integers(4, 240).map(lambda quarters: quarters / 4)


def routine_of(minutes: list[float]) -> Sent:
    blocks = [{"title": f"Piece {number}", "minutes": each} for number, each in enumerate(minutes)]
    return {"routine": {"blocks": blocks}, "measure_ladder": False}


def usual_seconds_of(minutes: list[float]) -> int:
    return sum(int(each * 60) for each in minutes)


@given(st.lists(MINUTES, min_size=1, max_size=8))
def test_nothing_given_makes_a_quarter_of_any_usual_time(minutes: list[float]) -> None:
    plan = plan_or_reject(routine_of(minutes))
    usual = usual_seconds_of(minutes)
    assert plan.usual_seconds == usual
    assert plan.budget_seconds == min(max(math.floor(usual * QUARTER), THREE_MINUTES), usual)


@given(st.lists(MINUTES, min_size=1, max_size=8), MINUTES)
def test_minutes_given_count_up_to_the_half(minutes: list[float], given_minutes: float) -> None:
    plan = plan_or_reject(routine_of(minutes) | {"circumstances": {"minutes": given_minutes}})
    usual = usual_seconds_of(minutes)
    # Three minutes are always short: half of a very short routine would hold nothing.
    most = max(math.floor(usual * HALF), min(THREE_MINUTES, usual))
    assert plan.budget_seconds == min(int(given_minutes * 60), most)


@given(st.lists(MINUTES, min_size=1, max_size=8), st.lists(MINUTES, min_size=2, max_size=6))
def test_windows_given_count_together(minutes: list[float], windows: list[float]) -> None:
    day = {"windows": [{"minutes": each} for each in windows]}
    plan = plan_or_reject(routine_of(minutes) | {"circumstances": day})
    usual = usual_seconds_of(minutes)
    most = max(math.floor(usual * HALF), min(THREE_MINUTES, usual))
    assert plan.budget_seconds == min(usual_seconds_of(windows), most)
    assert [window.seconds for window in plan.windows] == [int(each * 60) for each in windows]
