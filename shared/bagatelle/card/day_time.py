"""What a day gives, in whole seconds: windows, what stays free of them, their rests. Integers alone."""

from collections.abc import Sequence

from bagatelle.engine.budget import WindowTime
from bagatelle.model.card import Card, CardNumbers
from bagatelle.model.errors import NotMoreTimeError
from bagatelle.model.sheet import Ask, AskedWindow

_WHOLE = 1000


def windows_of(card: Card, ask: Ask) -> tuple[WindowTime, ...]:
    """The windows of an ask; where it gives no time, those of the quarter."""
    given = ask.windows or [AskedWindow(seconds=seconds) for seconds in card.quarter_windows]
    ends = _ends_by_itself(card, ask)
    return tuple([_window(window, card.numbers, ends=ends) for window in given])


def _ends_by_itself(card: Card, ask: Ask) -> bool:
    """Whether a part of each window stays free: not of the quarter in one, which nothing but the plan ends."""
    return bool(ask.windows) or len(card.quarter_windows) > 1


def _window(window: AskedWindow, numbers: CardNumbers, *, ends: bool) -> WindowTime:
    slack = slack_seconds(window.seconds, numbers) if ends else 0
    return WindowTime(
        seconds=window.seconds,
        playing_seconds=playing_seconds(window.seconds - slack, numbers),
        slack_seconds=slack,
        starts_at=window.starts_at,
    )


def slack_seconds(window_seconds: int, numbers: CardNumbers) -> int:
    """The share of a window, or the least where that is more; never more than half of it."""
    share = window_seconds * numbers.slack_thousandths // _WHOLE
    return min(max(share, numbers.least_slack_seconds), window_seconds // 2)


def playing_seconds(seconds: int, numbers: CardNumbers) -> int:
    """What a stretch holds of set-ups and doses: a long one gives up a rest after each stretch of playing."""
    if seconds <= numbers.rest_from_seconds:
        return seconds
    stretches, left = divmod(seconds, numbers.playing_seconds + numbers.rest_seconds)
    playing = stretches * numbers.playing_seconds + min(left, numbers.playing_seconds)
    return max(playing, numbers.rest_from_seconds)


def day_seconds(card: Card, windows: Sequence[WindowTime]) -> int:
    """The windows together; no more than the card gives any day of its kind."""
    together = sum(window.seconds for window in windows)
    most = card.numbers.most_seconds
    return together if most is None else min(together, most)


def day_playing_seconds(card: Card, ask: Ask, seconds: int) -> int:
    """What a day of so many seconds would hold in one window: what floors and the count of things go by."""
    slack = slack_seconds(seconds, card.numbers) if _ends_by_itself(card, ask) else 0
    return playing_seconds(seconds - slack, card.numbers)


def check_growth(card: Card, asks: Sequence[Ask]) -> None:
    """Refuse a later ask that takes back what an earlier one gave.

    Raises
    ------
    NotMoreTimeError
        A window of it is shorter, or gone.
    """
    given: list[int] = []
    for number, ask in enumerate(asks):
        lengths = [window.seconds for window in windows_of(card, ask)]
        for place, least in enumerate(given):
            length = lengths[place] if place < len(lengths) else None
            if length is None or length < least:
                raise NotMoreTimeError(number, place, least_seconds=least, given_seconds=length)
        given = lengths
