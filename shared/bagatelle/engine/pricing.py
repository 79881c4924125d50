"""One price of a second for all tasks: the multiplier of the capacity in Lagrange's bound."""

from collections.abc import Mapping, Sequence
from math import copysign, exp, inf, log
from typing import Final, NamedTuple, TypeAlias

from bagatelle.engine.candidates import ROUNDING, Candidate, Curve, candidates_of
from bagatelle.engine.problem import Problem

_ROUNDS: Final = 8
_CLOSE_SECONDS: Final = 1.0
_STRIDE: Final = 0.25
"""Of logarithms: how far to look first for a price on the other side of the best."""
_CLOSE_SHARE: Final = 0.002

_Tangent: TypeAlias = tuple[float, float, float]
"""A price, the bound there, and how many seconds the tasks of greatest gain cost more than there are."""


class Price(NamedTuple):
    """A price, and the least that it shows no set of tasks to be worth more than (duties apart)."""

    logarithm: float
    dual: float
    gains: list[float]
    """Of each candidate: the most that its worth can exceed its price by, set-up included."""


def priced_doses(
    problem: Problem, curves: Mapping[str, Curve], near_log_price: float | None = None
) -> dict[str, int]:
    """What each task would be given at the common price: near the best plan, without a search.

    Not a plan: it may cost a little more or less than the capacity, and knows no rules but the task limit.
    """
    candidates = candidates_of(problem, curves)
    limit = problem.duties.task_limit + any(candidate.item.prepares for candidate in candidates)
    price = common_price(candidates, problem.capacity_seconds, limit, near_log_price)
    found = sorted(
        (not candidate.must, -gain, candidate.id, candidate)
        for candidate, gain in zip(candidates, price.gains, strict=True)
        if candidate.must or gain > ROUNDING
    )
    return {
        candidate.id: max(
            candidate.curve.scale.units_within(int(candidate.best_seconds(price.logarithm))), candidate.low
        )
        for _, _, _, candidate in found[:limit]
    }


def common_price(
    candidates: Sequence[Candidate], capacity_seconds: int, limit: int, near_log_price: float | None = None
) -> Price:
    """The price of a second, of a few tried, that makes the bound of all sets smallest.

    The bound is convex in the price, and its slope is the capacity less what the tasks of greatest gain cost. Of
    two prices, one on each side of the best, the tangents meet where the next is tried: nowhere is the bound
    smaller than there, so that the search ends when that is hardly smaller than the best found.
    """
    if not candidates:
        return Price(0.0, 0.0, [])
    highest = max(candidate.curve.log_gain for candidate in candidates)
    log_price = min(highest - 1.0 if near_log_price is None else near_log_price, highest)
    best = Price(0.0, inf, [])
    low: _Tangent | None = None
    high: _Tangent | None = None
    stride = _STRIDE
    for _ in range(_ROUNDS):
        dual, cost, slope, gains = _at(candidates, log_price, capacity_seconds, limit)
        if dual < best.dual:
            best = Price(log_price, dual, gains)
        excess = cost - capacity_seconds
        if abs(excess) < _CLOSE_SECONDS:
            break
        if excess > 0:
            low = (exp(log_price), dual, excess)
        else:
            high = (exp(log_price), dual, excess)
        if low is not None and high is not None:
            price, least = _meet(low, high)
            if best.dual - least < _CLOSE_SHARE * best.dual:
                break
            log_price = log(price)
        else:
            step = excess / slope if slope > 0 else copysign(stride, excess)
            log_price = min(log_price + min(max(step, -stride), stride), highest)
            stride *= 2
    return best


def _meet(low: _Tangent, high: _Tangent) -> tuple[float, float]:
    """Where the tangents at two prices meet: the price, and the value there."""
    low_price, low_dual, low_excess = low
    high_price, high_dual, high_excess = high
    price = (low_dual - high_dual + low_excess * low_price - high_excess * high_price) / (
        low_excess - high_excess
    )
    return price, low_dual - low_excess * (price - low_price)


def _at(
    candidates: Sequence[Candidate], log_price: float, capacity_seconds: int, limit: int
) -> tuple[float, float, float, list[float]]:
    """The bound at a price; what the tasks of greatest gain cost there, how fast that falls, and all gains."""
    price = exp(log_price)
    gains = []
    chosen = []
    for candidate in candidates:
        reach, log_gain, low_seconds, high_seconds, low_value, high_value, amplitude = candidate.row
        seconds = reach * (log_gain - log_price)
        slope = 0.0
        if seconds <= low_seconds:
            seconds, value = float(low_seconds), low_value
        elif seconds >= high_seconds:
            seconds, value = float(high_seconds), high_value
        else:
            value = amplitude - reach * price
            slope = reach
        cost = seconds + candidate.set_up
        gain = value - price * cost + ROUNDING
        gains.append(gain)
        must = candidate.must
        if gain > ROUNDING or must:
            chosen.append((must, gain, cost, slope))
    if len(chosen) > limit:
        chosen.sort(reverse=True)
        del chosen[limit:]
    dual = price * capacity_seconds
    cost = total_slope = 0.0
    for _, gain, seconds, slope in chosen:
        dual += gain
        cost += seconds
        total_slope += slope
    return dual, cost, total_slope, gains
