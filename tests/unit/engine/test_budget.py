"""Budget, windows and rests, by hand."""

import pytest
from bagatelle.engine.budget import (
    budget_of,
    default_budget_seconds,
    playing_seconds_of,
    seconds_of,
    smallest_window_of,
)
from bagatelle.model.request import Circumstances, Window
from bagatelle.policy.table import Policy

POLICY = Policy()


@pytest.mark.parametrize(
    ("window", "playing"),
    [
        (1, 1),
        (1800, 1800),
        (1801, 1800),  # a longer window never holds less than one of 30 minutes
        (2100, 1800),  # 1800 + one rest of 300
        (2101, 1801),
        (3300, 3000),  # 25 + 5 + 25 minutes
        (3600, 3000),  # 3001 would need a second rest
        (3601, 3001),
        (5400, 4500),  # 25 + 5 + 25 + 5 + 25 minutes, and 5 over
    ],
)
def test_playing_time_of_a_window(window: int, playing: int) -> None:
    assert playing_seconds_of(window, POLICY) == playing


@pytest.mark.parametrize("playing", [1, 1800, 1801, 2999, 3000, 3001, 4500, 4501])
def test_the_smallest_window_for_a_playing_time(playing: int) -> None:
    window = smallest_window_of(playing, POLICY)
    assert playing_seconds_of(window, POLICY) == playing
    assert playing_seconds_of(window - 1, POLICY) < playing


@pytest.mark.parametrize(
    ("minutes", "budget_minutes"),
    [(120, 30), (20, 5), (12, 3), (8, 3), (3, 3), (2, 2)],  # a quarter: common practice, no source
)
def test_nothing_given(minutes: int, budget_minutes: int) -> None:
    assert default_budget_seconds(minutes * 60, POLICY) == budget_minutes * 60


def test_minutes_are_rounded_to_whole_seconds() -> None:
    assert [seconds_of(minutes) for minutes in (0.5, 1.01, 12.345)] == [30, 61, 741]


def test_a_longer_day_is_held_to_the_half() -> None:
    budget = budget_of(3600, Circumstances(minutes=45), held_to_share=False, policy=POLICY)
    assert (budget.seconds, budget.asked_seconds, budget.held) == (1800, 2700, True)
    assert [window.seconds for window in budget.windows] == [1800]


def test_windows_keep_their_lengths_though_the_budget_is_held() -> None:
    day = Circumstances(windows=(Window(minutes=20, starts_at="07:30"), Window(minutes=40)))
    budget = budget_of(3600, day, held_to_share=False, policy=POLICY)
    assert [(window.seconds, window.playing_seconds) for window in budget.windows] == [
        (1200, 1080),  # a tenth stays free
        (2400, 1860),  # 240 free, then a rest of 300
    ]
    assert (budget.seconds, budget.capacity_seconds) == (1800, 1800)
    assert budget.windows[0].starts_at == "07:30"


@pytest.mark.parametrize(
    ("usual_minutes", "share", "most_minutes"),
    [(60, None, 30), (60, 0.1, 6), (4, None, 3), (2, None, 2), (2400, None, 600)],
)
def test_the_longest_window_that_counts(usual_minutes: int, share: float | None, most_minutes: int) -> None:
    policy = POLICY if share is None else Policy(share=share)
    budget = budget_of(usual_minutes * 60, Circumstances(), held_to_share=share is not None, policy=policy)
    assert budget.most_seconds == most_minutes * 60


def test_a_share_holds_minutes_too() -> None:
    budget = budget_of(3600, Circumstances(minutes=25), held_to_share=True, policy=Policy(share=0.25))
    assert (budget.seconds, budget.share, budget.held) == (900, 0.25, True)
