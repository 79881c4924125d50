"""The length that fits nine days in ten against scipy and numpy: quantile, interval, binomial.

Hyndman and Fan, "Sample Quantiles in Statistical Packages", The American Statistician 50 (1996), 361-365: the sixth
definition is numpy's `weibull`, and scipy's `mquantiles` with alphap = betap = 0.
"""

import math
from fractions import Fraction

import numpy as np
import pytest
from bagatelle.progress.fitting import DAYS_NEEDED, LEVEL, length_that_fits
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats
from scipy.stats.mstats import mquantiles

DAYS = st.lists(st.integers(1, 7200), min_size=DAYS_NEEDED, max_size=150)
SIZES = (*range(DAYS_NEEDED, 61), 100, 365, 1000, 3653)


@given(DAYS)
def test_the_quantile_is_theirs(seconds: list[int]) -> None:
    fits = length_that_fits(seconds)
    assert fits is not None
    of_numpy = float(np.quantile(seconds, 0.1, method="weibull"))
    of_scipy = float(mquantiles(seconds, [0.1], alphap=0, betap=0)[0])
    assert of_numpy == pytest.approx(of_scipy)
    # Rounded down; where theirs is whole but for the last bits of a float, ours is the whole number.
    assert fits.seconds == math.floor(of_numpy + 1e-6)


@given(DAYS)
def test_the_interval_is_theirs(seconds: list[int]) -> None:
    fits = length_that_fits(seconds)
    assert fits is not None
    theirs = stats.quantile_test(seconds, q=0, p=0.1).confidence_interval(LEVEL)
    assert fits.low_seconds == (None if math.isnan(theirs.low) else int(theirs.low))
    assert fits.high_seconds == int(theirs.high)


@pytest.mark.parametrize("size", SIZES)
def test_the_ends_are_the_innermost_that_the_binomial_allows(size: int) -> None:
    fits = length_that_fits(range(1, size + 1))
    assert fits is not None
    short_of = stats.binom(size, 0.1)
    low, high = fits.low_seconds or 0, fits.high_seconds
    assert short_of.cdf(low - 1) <= 0.05 < short_of.cdf(low)
    assert short_of.sf(high - 1) <= 0.05 < short_of.sf(high - 2)
    assert short_of.cdf(high - 1) - short_of.cdf(low - 1) >= LEVEL


@pytest.mark.parametrize("size", [10, 19, 29, 99])
def test_a_coming_day_falls_short_one_time_in_ten(size: int) -> None:
    # Of n + 1 days that are alike each is as likely to be the last; of these, count those that fall short of the
    # quantile of the others. Where (n + 1) / 10 is whole it is exactly one in ten; ten days are the nearest below.
    days = range(1000, 1000 * (size + 2), 1000)
    short = 0
    for last in days:
        fits = length_that_fits([day for day in days if day != last])
        assert fits is not None
        short += last < fits.seconds
    assert Fraction(short, size + 1) <= Fraction(1, 10)
    assert Fraction(short + 1, size + 1) > Fraction(1, 10)


@given(st.lists(st.integers(1, 7200), max_size=DAYS_NEEDED - 1))
def test_nothing_is_said_of_fewer_than_ten_days(seconds: list[int]) -> None:
    assert length_that_fits(seconds) is None
