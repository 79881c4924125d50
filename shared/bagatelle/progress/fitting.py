"""Whether plans fit: the length that fits nine hard days in ten, with an interval that asks for no distribution.

The quantile is the sixth definition of Hyndman and Fan, "Sample Quantiles in Statistical Packages", The American
Statistician 50 (1996), 361-365: of n days in order, the value at place p (n + 1), straight between two neighbours.
It is chosen because a coming day that is like the n before it falls short of the k-th of them with probability
k / (n + 1), whatever days are like. The seventh, which many libraries take unasked, is at place p (n - 1) + 1,
further in: a coming day falls short of that more often than once in ten. With ten days or more the place is never
before the first.

The interval is between two of the days. How many days fall short of the true quantile is binomial with n and p,
whatever days are like; each end is the innermost day that leaves at most one in twenty on its side (David and
Nagaraja, Order Statistics, 3rd ed. 2003, section 7.1; from memory). All of it is reckoned in whole numbers.
"""

from collections.abc import Sequence
from fractions import Fraction
from functools import cache
from typing import Final

from msgspec import Struct

DAYS_NEEDED: Final = 10
LEVEL: Final = 0.9

_TENTHS: Final = 10
"""p is one of them."""
_SIDE: Final = 20
"""One in so many is left on either side."""


class LengthThatFits(Struct, frozen=True, kw_only=True):
    """The quantile and its interval."""

    seconds: int
    low_seconds: int | None
    """None where the days are too few to have one."""
    high_seconds: int


def length_that_fits(seconds: Sequence[int]) -> LengthThatFits | None:
    """What at least nine days in ten gave; None with fewer than ten days.

    Parameters
    ----------
    seconds
        What each day gave, in any order.
    """
    days = len(seconds)
    if days < DAYS_NEEDED:
        return None
    ordered = sorted(seconds)
    place, tenths = divmod(days + 1, _TENTHS)
    below, above = ordered[place - 1], ordered[place]
    low, high = _interval(days)
    return LengthThatFits(
        seconds=below + tenths * (above - below) // _TENTHS,
        low_seconds=ordered[low - 1] if low else None,
        high_seconds=ordered[high - 1],
    )


@cache
def _interval(days: int) -> tuple[int, int]:
    """Places of the two ends, from 1; 0 for a lower end that so few days do not have.

    The k-th day is above the quantile where fewer than k fall short of it. So the lower end is the greatest k for
    which fewer than k fall short at most one time in twenty, and the upper end the smallest for which they do so in
    all but one of twenty.
    """
    allowed = Fraction(_TENTHS**days, _SIDE)
    low = 0
    at_most, ways = 0, (_TENTHS - 1) ** days
    for count in range(days):
        # Of 10 ** days equal chances, those in which exactly `count` days fall short, and those in which fewer do.
        at_most += ways
        ways = ways * (days - count) // ((_TENTHS - 1) * (count + 1))
        if at_most <= allowed:
            low = count + 1
        if at_most >= _TENTHS**days - allowed:
            return low, count + 1
    return low, days
