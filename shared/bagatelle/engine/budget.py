"""How much time there is: the usual time, the budget, the windows, what stays free of them, and their rests."""

from typing import Final

from msgspec import Struct

from bagatelle.model.request import BLOCK_MINUTES_LIMIT, Circumstances
from bagatelle.policy.table import Policy

_TINY_SECONDS = 1e-6


class Slack(Struct, frozen=True, kw_only=True):
    """What is left free of a window that ends by itself, so that the plan surely fits."""

    share: float = 0.0
    least_seconds: int = 0

    def seconds_of(self, window_seconds: int) -> int:
        """The share, or the least where that is more; never more than half of the window."""
        wanted = max(part_of(window_seconds, self.share), self.least_seconds)
        return min(wanted, window_seconds // 2)

    def smallest_window_of(self, seconds: int) -> int:
        """The smallest window that has so many seconds beside its slack."""
        window = seconds
        while (missing := seconds - window + self.seconds_of(window)) > 0:
            window += missing
        return window


NO_SLACK: Final = Slack()


class WindowTime(Struct, frozen=True, kw_only=True):
    """One window in whole seconds."""

    seconds: int
    playing_seconds: int
    """What holds set-ups and doses; what is left beside the slack is rest."""
    slack_seconds: int = 0
    starts_at: str | None = None

    @property
    def rest_seconds(self) -> int:
        """What it gives up to rests."""
        return self.seconds - self.slack_seconds - self.playing_seconds


class Budget(Struct, frozen=True, kw_only=True):
    """The time of one plan."""

    usual_seconds: int
    seconds: int
    capacity_seconds: int
    """No more set-ups and doses than this: the playing time of the windows, within the budget."""
    windows: tuple[WindowTime, ...]
    slack: Slack
    """None where nobody ends the day at its budget: it was chosen, or the day gives more."""
    asked_seconds: int
    """What the day gives, before it was held to what counts as short."""
    most_seconds: int
    """The longest window that a request may give and that counts as short."""

    @property
    def share(self) -> float:
        """The budget as a share of the usual time."""
        return round(self.seconds / self.usual_seconds, 4)

    @property
    def held(self) -> bool:
        """Whether the day gives more than a short day holds."""
        return self.asked_seconds > self.seconds


def seconds_of(minutes: float) -> int:
    """Whole seconds."""
    return round(minutes * 60)


def part_of(seconds: int, share: float) -> int:
    """Whole seconds of a share, rounded down; a share that binary can't hold exactly loses none."""
    return int(seconds * share + _TINY_SECONDS)


def playing_seconds_of(window_seconds: int, policy: Policy) -> int:
    """What a window holds of set-ups and doses.

    Up to 30 minutes: all of it. A longer one gives up 5 minutes of rest for each 25 of playing: the largest
    p with `p + 300 * (ceil(p / 1500) - 1) <= w`; never less than a shorter window would hold.
    """
    if window_seconds <= policy.rest_from_seconds:
        return window_seconds
    stretch = policy.playing_seconds + policy.rest_seconds
    stretches, left = divmod(window_seconds, stretch)
    playing = stretches * policy.playing_seconds + min(left, policy.playing_seconds)
    return max(playing, policy.rest_from_seconds)


def smallest_window_of(playing_seconds: int, policy: Policy) -> int:
    """The smallest window that holds so many seconds of set-ups and doses, to the second."""
    if playing_seconds <= policy.rest_from_seconds:
        return playing_seconds
    rests = (playing_seconds - 1) // policy.playing_seconds
    return playing_seconds + rests * policy.rest_seconds


def slack_of_day(circumstances: Circumstances, policy: Policy) -> Slack:
    """What a day leaves free of each window that it gives."""
    return Slack(share=policy.slack_shares[circumstances.energy], least_seconds=policy.least_slack_seconds)


def _window(seconds: int, starts_at: str | None, slack: Slack, policy: Policy) -> WindowTime:
    free = slack.seconds_of(seconds)
    playing = playing_seconds_of(seconds - free, policy)
    return WindowTime(seconds=seconds, playing_seconds=playing, slack_seconds=free, starts_at=starts_at)


def default_budget_seconds(usual_seconds: int, policy: Policy) -> int:
    """The share of the usual time, at least three minutes, and never more than the usual time itself."""
    wanted = max(part_of(usual_seconds, policy.share), policy.least_budget_seconds)
    return min(wanted, usual_seconds)


def _most_seconds(usual_seconds: int, share: float, policy: Policy) -> int:
    """What the windows of a day count together at most; three minutes are always short."""
    return max(part_of(usual_seconds, share), min(policy.least_budget_seconds, usual_seconds))


def budget_of(
    usual_seconds: int, circumstances: Circumstances, *, held_to_share: bool, policy: Policy
) -> Budget:
    """The budget and its windows.

    With minutes or windows given, those, but no more than half of the usual time, or than the share where the day
    is held to it. With nothing given, the share of the usual time. Of windows that end by themselves a part stays
    free.
    """
    most = _most_seconds(usual_seconds, policy.share if held_to_share else policy.largest_share, policy)
    longest = min(most, seconds_of(BLOCK_MINUTES_LIMIT))
    if circumstances.windows:
        given = [(seconds_of(window.minutes), window.starts_at) for window in circumstances.windows]
    elif circumstances.minutes is not None:
        given = [(seconds_of(circumstances.minutes), None)]
    else:
        seconds = default_budget_seconds(usual_seconds, policy)
        window = WindowTime(seconds=seconds, playing_seconds=playing_seconds_of(seconds, policy))
        return Budget(
            usual_seconds=usual_seconds,
            seconds=seconds,
            capacity_seconds=window.playing_seconds,
            windows=(window,),
            slack=NO_SLACK,
            asked_seconds=seconds,
            most_seconds=longest,
        )
    asked = sum(seconds for seconds, _ in given)
    budget = min(asked, most)
    slack = slack_of_day(circumstances, policy)
    if len(given) == 1:
        slack = slack if asked == budget else NO_SLACK
        given = [(budget, given[0][1])]
    windows = tuple(_window(seconds, starts_at, slack, policy) for seconds, starts_at in given)
    capacity = min(sum(window.playing_seconds for window in windows), budget)
    return Budget(
        usual_seconds=usual_seconds,
        seconds=budget,
        capacity_seconds=capacity,
        windows=windows,
        slack=slack,
        asked_seconds=asked,
        most_seconds=longest,
    )
