"""A share over one half is refused as not short; one over a third is warned about; any other is obeyed."""

import math
from fractions import Fraction

import pytest
from bagatelle.model.errors import NotShortError
from hypothesis import given
from hypothesis import strategies as st

from tests.strategies import Sent, plan_of, plan_or_reject

SIXTY_FOURTHS = st.integers(1, 64)
"""Shares that binary fractions write exactly, so that a second more or less is no matter of rounding."""


def request_with(sixty_fourths: int, minutes: int) -> Sent:
    return {
        "routine": {"blocks": [{"title": "Sonatina", "minutes": minutes}]},
        "policy": {"share": sixty_fourths / 64},
        "measure_ladder": False,
    }


@given(SIXTY_FOURTHS.filter(lambda sixty_fourths: sixty_fourths > 32), st.integers(1, 600))
def test_more_than_half_is_refused(sixty_fourths: int, minutes: int) -> None:
    with pytest.raises(NotShortError) as refused:
        plan_of(request_with(sixty_fourths, minutes))
    assert refused.value.share == sixty_fourths / 64
    assert refused.value.largest_share == 0.5


@given(SIXTY_FOURTHS.filter(lambda sixty_fourths: sixty_fourths <= 32), st.integers(1, 600))
def test_up_to_half_is_obeyed_to_the_second(sixty_fourths: int, minutes: int) -> None:
    plan = plan_or_reject(request_with(sixty_fourths, minutes))
    usual = minutes * 60
    wanted = math.floor(usual * Fraction(sixty_fourths, 64))
    assert plan.budget_seconds == min(max(wanted, 180), usual)


@given(st.integers(4, 32), st.integers(30, 600))
def test_more_than_a_third_is_warned_about(sixty_fourths: int, minutes: int) -> None:
    plan = plan_or_reject(request_with(sixty_fourths, minutes))
    warned = "share-over-a-third" in {warning.code for warning in plan.warnings}
    assert warned == (Fraction(plan.budget_seconds, plan.usual_seconds) > Fraction(1, 3))
