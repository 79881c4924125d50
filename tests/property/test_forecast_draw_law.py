"""Seed, date and weights alone decide what a day is drawn as, and kinds come as often as their weights say."""

import datetime as dt

import pytest
from bagatelle.forecasting.drawing import drawn_position
from bagatelle.forecasting.stretch import days_of
from hypothesis import given
from hypothesis import strategies as st

from tests.forecast_strategies import FIRST_DAY, distributions, forecast_request_of, forecast_requests
from tests.strategies import Sent

# Upper critical values of the chi-square distribution at 0.001, by degrees of freedom: NIST/SEMATECH e-Handbook
# of Statistical Methods, section 1.3.6.7.4 (from memory).
CRITICAL = {1: 10.828, 2: 13.816, 3: 16.266}
PLAIN = {"blocks": [{"title": "Waltz", "minutes": 20}]}


def draws(sent: Sent) -> list[tuple[dt.date, int | None]]:
    return [(day.date, day.drawn) for day in days_of(forecast_request_of(sent))]


@given(forecast_requests(), distributions(), st.integers(1, 40), st.integers(0, 40))
def test_nothing_else_decides(sent: Sent, distribution: Sent, days: int, later: int) -> None:
    sent = sent | {"distribution": distribution, "known_days": [], "days": days}
    drawn = draws(sent)
    assert (
        draws({"routine": PLAIN, "date": sent["date"], "days": days, "distribution": distribution}) == drawn
    )
    # A longer stretch begins alike, and one that begins later goes on alike.
    assert draws(sent | {"days": days + later})[:days] == drawn
    begin = min(later, days - 1)
    moved = {"date": str(FIRST_DAY + dt.timedelta(days=begin)), "days": days - begin}
    assert draws(sent | moved) == drawn[begin:]


@given(forecast_requests(), distributions())
def test_known_days_do_not_shift_the_others(sent: Sent, distribution: Sent) -> None:
    sent = sent | {"distribution": distribution}
    known = {day["date"] for day in sent["known_days"]}
    for (day, drawn), (_, alone) in zip(draws(sent), draws(sent | {"known_days": []}), strict=True):
        assert drawn == (None if str(day) in known else alone)


@given(st.integers(0, 2**53 - 1), st.dates(), st.lists(st.integers(1, 1000), min_size=1), st.integers(2, 50))
def test_only_ratios_of_weights_matter(seed: int, day: dt.date, weights: list[int], times: int) -> None:
    position = drawn_position(seed, day, weights)
    assert position in range(len(weights))
    assert drawn_position(seed, day, [weight * times for weight in weights]) == position


@pytest.mark.parametrize("weights", [(1, 1), (9, 1), (4, 2, 1), (97, 2, 1), (1, 2, 3, 4)], ids=str)
def test_kinds_come_as_often_as_their_weights_say(weights: tuple[int, ...]) -> None:
    # Pearson's statistic over the years of twenty seeds: 7320 days.
    counts = [0] * len(weights)
    for seed in range(20):
        for number in range(366):
            counts[drawn_position(seed, FIRST_DAY + dt.timedelta(days=number), weights)] += 1
    expected = [weight * sum(counts) / sum(weights) for weight in weights]
    statistic = sum((count - wanted) ** 2 / wanted for count, wanted in zip(counts, expected, strict=True))
    assert statistic < CRITICAL[len(weights) - 1]
