"""A window over 30 minutes rests 5 minutes for each 25 of playing, at the borders of units.

Klickstein, The Musician's Way (2009), p. 75: five minutes after twenty-five.
"""

import math
from itertools import pairwise

from bagatelle.model.plan import Plan, Step
from hypothesis import event, given
from hypothesis import strategies as st

from tests.strategies import Sent, plan_or_reject, requests

PLAYING, REST, FROM = 25 * 60, 5 * 60, 30 * 60


def with_long_windows(sent: Sent, minutes: list[int]) -> Sent:
    """The routine beside a long étude, so that half of the usual time is long too."""
    long = {"title": "Études", "area": "technique", "minutes": 600}
    windows = {"windows": [{"minutes": each} for each in minutes]}
    blocks = [*sent["routine"]["blocks"], long]
    return sent | {"routine": {"blocks": blocks}, "circumstances": windows, "policy": {}}


def most_playing_seconds(window_seconds: int) -> int:
    """Counted down: the most playing that leaves five minutes between each two stretches of 25 minutes."""
    playing = window_seconds
    while playing > FROM and playing + REST * (math.ceil(playing / PLAYING) - 1) > window_seconds:
        playing -= 1
    return playing


def stretches(plan: Plan, window: int) -> list[list[Step]]:
    """The playing of a window, cut at its rests."""
    found: list[list[Step]] = [[]]
    for step in plan.steps:
        if step.window != window:
            continue
        if step.kind == "rest":
            found.append([])
        else:
            found[-1].append(step)
    return found


@given(requests(most_tasks=4), st.lists(st.integers(20, 150), min_size=1, max_size=3))
def test_rests_are_long_enough_and_lie_between_playing(sent: Sent, minutes: list[int]) -> None:
    plan = plan_or_reject(with_long_windows(sent, minutes))
    for position, window in enumerate(plan.windows):
        parts = stretches(plan, position)
        assert all(parts) or parts == [[]]
        playing = sum(step.seconds + step.set_up_seconds for part in parts for step in part)
        left = window.seconds - window.slack_seconds
        assert playing <= left - window.rest_seconds
        if left <= FROM:
            assert (len(parts), window.rest_seconds) == (1, 0)
        else:
            assert left - window.rest_seconds == most_playing_seconds(left)


@given(requests(most_tasks=4), st.lists(st.integers(31, 150), min_size=1, max_size=3))
def test_nobody_plays_on_while_rest_is_left(sent: Sent, minutes: list[int]) -> None:
    plan = plan_or_reject(with_long_windows(sent, minutes))
    for position, window in enumerate(plan.windows):
        parts = stretches(plan, position)
        rested = sum(step.seconds for step in plan.steps if step.window == position and step.kind == "rest")
        for part in parts:
            played = sum(step.seconds + step.set_up_seconds for step in part)
            single_unit = sum(len(step.units) for step in part) == 1
            assert played <= PLAYING or single_unit or rested == window.rest_seconds


@given(requests(most_tasks=4), st.lists(st.integers(31, 80), min_size=1, max_size=3))
def test_a_rest_cuts_nothing_that_one_before_it_would_leave_whole(sent: Sent, minutes: list[int]) -> None:
    """Common practice, no source: rest between two things, not inside one."""
    plan = plan_or_reject(with_long_windows(sent, minutes))
    for position in range(len(plan.windows)):
        for before, after in pairwise(stretches(plan, position)):
            task = before[-1].task
            if after[0].task != task:
                continue
            earlier = sum(step.seconds + step.set_up_seconds for step in before if step.task != task)
            whole = [step for step in plan.steps if step.window == position and step.kind == "task"]
            from_it = whole[[step.task for step in whole].index(task) :]
            later = sum(step.seconds + step.set_up_seconds for step in from_it)
            event("a thing is cut by a rest")
            assert 2 * earlier < PLAYING or later > PLAYING
