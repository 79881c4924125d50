"""An item at one budget: the doses it may get there, and the continuous curve that bounds their worth."""

import math
from typing import Final

from bagatelle.engine.problem import WORTH_SCALE, Item, Problem, floor_units, scale_of, worths_of

ROUNDING: Final = 0.5
"""A dose's worth is rounded, so it may exceed the curve by this much."""
NO_GAIN: Final = -1e300


class Candidate:
    """One item of one problem that could be kept at all.

    The curve of its worth is `amplitude * (1 - exp(-t / reach))`, concave in its playing seconds t. At a
    price of `exp(log_price)` a second its best length is `reach * (log_gain - log_price)`, held between the
    floor and the largest dose.
    """

    __slots__ = (
        "_worths",
        "amplitude",
        "high",
        "high_seconds",
        "high_value",
        "index",
        "item",
        "log_gain",
        "low",
        "low_cost",
        "low_seconds",
        "low_value",
        "music",
        "must",
        "prepares",
        "reach",
        "scale",
        "set_up",
        "strains",
    )

    def __init__(self, item: Item, problem: Problem) -> None:
        self.item = item
        self.scale = scale_of(item)
        self._worths = worths_of(item, problem.curve)
        self.set_up = item.set_up_seconds
        self.low = floor_units(item, self.scale, problem.budget_seconds, problem.floor_mode)
        self.low_seconds = self.scale.seconds(self.low)
        self.low_cost = self.set_up + self.low_seconds
        room = self.scale.units_within(problem.capacity_seconds - self.set_up)
        self.high = max(self.low, min(self.scale.largest_units, room))
        self.high_seconds = self.scale.seconds(self.high)
        usual = item.usual_seconds
        self.reach = usual / problem.curve
        self.amplitude = WORTH_SCALE * item.weight * usual / (1.0 - math.exp(-problem.curve))
        gain = self.amplitude / self.reach
        self.log_gain = math.log(gain) if gain > 0 else NO_GAIN
        self.low_value = self._value(self.low_seconds)
        self.high_value = self._value(self.high_seconds)
        self.must = item.must
        self.strains = item.strains
        self.prepares = item.prepares
        self.music = item.music
        self.index = -1

    def worth(self, units: int) -> int:
        """Worth of a dose of so many units."""
        return self._worths[units]

    def best_at(self, log_price: float, price: float) -> tuple[float, float]:
        """The length on the curve that is worth most less its price, and what it is worth.

        Between floor and largest dose the curve's slope is the price there, so its value needs no exponential.
        """
        seconds = self.reach * (self.log_gain - log_price)
        if seconds <= self.low_seconds:
            return self.low_seconds, self.low_value
        if seconds >= self.high_seconds:
            return self.high_seconds, self.high_value
        return seconds, self.amplitude - self.reach * price

    def _value(self, seconds: int) -> float:
        """Worth on the curve."""
        return self.amplitude * (1.0 - math.exp(-min(seconds, self.item.usual_seconds) / self.reach))

    def twin_key(self) -> tuple[object, ...]:
        """Equal for two items that no plan can tell apart."""
        item = self.item
        return (
            item.weight,
            item.usual_seconds,
            item.largest_seconds,
            item.unit_seconds,
            self.low,
            item.set_up_seconds,
            item.strains,
            item.prepares,
            item.music,
            item.must,
        )


def candidates_of(problem: Problem) -> list[Candidate]:
    """The items whose floor alone fits the capacity."""
    found = (Candidate(item, problem) for item in problem.items)
    return [candidate for candidate in found if candidate.low_cost <= problem.capacity_seconds]
