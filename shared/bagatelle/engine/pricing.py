"""One price of a second for all tasks: the multiplier of the capacity in Lagrange's bound."""

import math
from collections.abc import Sequence
from typing import Final

from bagatelle.engine.candidates import Candidate, candidates_of
from bagatelle.engine.problem import Problem

_PRICE_ROUNDS: Final = 8
_PRICE_SPAN: Final = 6.0


def priced_doses(problem: Problem) -> dict[str, int]:
    """What each task would be given at the common price: near the best plan, without a search.

    Not a plan: it may cost a little more or less than the capacity, and knows no rules but the task limit.
    """
    candidates = candidates_of(problem)
    log_price = common_price(candidates, problem.capacity_seconds, problem.duties.task_limit)
    price = math.exp(log_price)
    gains = []
    for candidate in candidates:
        seconds, value = candidate.best_at(log_price, price)
        gain = value - price * (seconds + candidate.set_up)
        units = max(candidate.scale.units_within(int(seconds)), candidate.low)
        if gain > 0 or candidate.must:
            gains.append((not candidate.must, -gain, candidate.item.id, units))
    return {task: units for _, _, task, units in sorted(gains)[: problem.duties.task_limit]}


def common_price(candidates: Sequence[Candidate], capacity_seconds: int, limit: int) -> float:
    """Logarithm of a price of a second that makes the bound of all sets small.

    The bound is convex in the price: halve a bracket by the sign of its slope, which is the capacity less what
    the best plan at that price costs.
    """
    if not candidates:
        return 0.0
    above = max(candidate.log_gain for candidate in candidates)
    below = above - _PRICE_SPAN
    for _ in range(_PRICE_ROUNDS):
        middle = (below + above) / 2
        if _cost_at(candidates, middle, limit) > capacity_seconds:
            below = middle
        else:
            above = middle
    return above


def _cost_at(candidates: Sequence[Candidate], log_price: float, limit: int) -> float:
    """Seconds that the tasks of greatest gain cost at this price."""
    price = math.exp(log_price)
    chosen = []
    for candidate in candidates:
        seconds, value = candidate.best_at(log_price, price)
        cost = seconds + candidate.set_up
        gain = value - price * cost
        if gain > 0 or candidate.must:
            chosen.append((candidate.must, gain, cost))
    if len(chosen) > limit:
        chosen.sort(reverse=True)
    return sum(cost for _, _, cost in chosen[:limit])
