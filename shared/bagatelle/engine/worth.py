"""What a task is worth on a hard day: a weight that is a product of named factors."""

import math

from bagatelle.model.plan import Factors
from bagatelle.model.request import Circumstances
from bagatelle.model.vocabulary import Concreteness, Divisibility, Pin, Stage, Strain
from bagatelle.policy.table import Policy

FACTOR_DECIMALS = 6
"""Factors and weights are rounded to this, so that what the answer repeats is what the solver saw."""


def need_factor(
    days_since: int | None,
    cadence_days: int,
    due_days: int | None,
    policy: Policy,
    *,
    anything_due: bool = False,
) -> float:
    """How much a task wants its turn today.

    `recency = sqrt(clip(days since / cadence, 0.25, 2.25))`, 1 where unknown; a date within 14 days gives
    `date = clip(2 - (days left - 3) / 11, 1, 2)`; need is recency, or with a date `max(recency, 1) * date`,
    held between 0.5 and 2. Where anything of the routine is due so soon, what is not has waited long enough at 1:
    its turn comes after the date (common practice, no source).
    """
    recency = 1.0
    if days_since is not None:
        recency = math.sqrt(_clip(days_since / cadence_days, policy.recency_lowest, policy.recency_highest))
    if due_days is not None and is_near(due_days, policy):
        span = max(policy.near_days - policy.nearest_days, 1)
        date_factor = _clip(2 - (due_days - policy.nearest_days) / span, 1, 2)
        recency = max(recency, 1.0) * date_factor
    elif anything_due:
        recency = min(recency, 1.0)
    return round(_clip(recency, policy.need_lowest, policy.need_highest), FACTOR_DECIMALS)


def is_near(due_days: int | None, policy: Policy) -> bool:
    """Whether what is due in so many days is coming up soon. What is past is not."""
    return due_days is not None and 0 <= due_days <= policy.near_days


def circumstances_factor(
    strain: Strain,
    divisibility: Divisibility,
    *,
    other_form: bool,
    circumstances: Circumstances,
    policy: Policy,
) -> float:
    """How well a task suits what the day gives."""
    factor = 1.0
    if circumstances.energy == "low":
        factor *= policy.low_energy_factors[strain]
    if circumstances.focus == "low":
        factor *= policy.low_focus_factors[divisibility]
    if other_form:
        factor *= policy.other_form_factor
    return round(factor, FACTOR_DECIMALS)


def factors_of(
    *,
    stage: Stage,
    concreteness: Concreteness,
    pin: Pin,
    need: float,
    circumstances: float,
    policy: Policy,
) -> Factors:
    """The factors together, from the policy table."""
    return Factors(
        stage=policy.stage_factors[stage],
        concreteness=policy.concreteness_factors[concreteness],
        need=need,
        circumstances=circumstances,
        pin=policy.pin_factors[pin],
    )


def weight_of(factors: Factors) -> float:
    """Their product."""
    product = factors.stage * factors.concreteness * factors.need * factors.circumstances * factors.pin
    return round(product, FACTOR_DECIMALS)


def _clip(value: float, lowest: float, highest: float) -> float:
    return min(max(value, lowest), highest)
