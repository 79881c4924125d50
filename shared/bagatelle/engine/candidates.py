"""An item at one budget: the doses it may get there, and the continuous curve that bounds their worth."""

import math
from bisect import bisect_right
from collections.abc import Iterable, Mapping
from typing import Final

from bagatelle.engine.doses import WORTH_SCALE, Worths, floor_from, scale_of
from bagatelle.engine.problem import Item, Problem

ROUNDING: Final = 0.5
"""A dose's worth is rounded, so it may exceed the curve by this much."""
NO_GAIN: Final = -1e300

MUSIC: Final = 1
PREPARES: Final = 2
"""A task of the routine that prepares."""
STANDS_IN: Final = 4
"""The stand-in, which prepares as well."""
PREPARING: Final = PREPARES | STANDS_IN
STRAINS: Final = 8
MORE: Final = 16
"""No warm-up."""
ALL_FLAGS: Final = 32


class Curve:
    """What the search knows of one item whatever the budget.

    The curve of its worth is `amplitude * (1 - exp(-t / reach))`, concave in its playing seconds t. At a
    price of `exp(log_price)` a second its best length is `reach * (log_gain - log_price)`.
    """

    __slots__ = (
        "_usual_seconds",
        "amplitude",
        "chunk_units",
        "ends",
        "flags",
        "item",
        "least_seconds",
        "log_gain",
        "reach",
        "scale",
        "set_up_seconds",
        "worths",
    )

    def __init__(self, item: Item, curve: float) -> None:
        self.item = item
        self.scale = scale_of(item)
        self.ends = self.scale.ends
        self.least_seconds = self.ends[1]
        self.chunk_units = self.scale.units_reaching(item.chunk_seconds)
        self.set_up_seconds = item.set_up_seconds
        self.worths = Worths(item, self.scale, curve)
        self._usual_seconds = usual_seconds = item.usual_seconds
        self.reach = usual_seconds / curve
        self.amplitude = WORTH_SCALE * item.weight * usual_seconds / (1.0 - math.exp(-curve))
        gain = self.amplitude / self.reach
        self.log_gain = math.log(gain) if gain > 0 else NO_GAIN
        self.flags = (
            (MUSIC if item.music else 0)
            | (STRAINS if item.strains else 0)
            | (0 if item.warm_up else MORE)
            | ((STANDS_IN if item.stand_in else PREPARES) if item.prepares else 0)
        )

    def value(self, units: int) -> float:
        """Worth on the curve, not rounded, of a dose of so many units."""
        seconds = min(self.ends[units], self._usual_seconds)
        return self.amplitude * (1.0 - math.exp(-seconds / self.reach))


class Candidate:
    """One item of one problem that could be kept at all; its best length is held between floor and largest dose."""

    __slots__ = (
        "curve",
        "doses",
        "ends",
        "flags",
        "gain",
        "high",
        "high_seconds",
        "id",
        "index",
        "item",
        "low",
        "low_cost",
        "low_seconds",
        "must",
        "row",
        "set_up",
        "worths",
    )

    def __init__(self, item: Item, curve: Curve, low: int, room_seconds: int) -> None:
        self.item = item
        self.id = item.id
        self.curve = curve
        self.flags = curve.flags
        self.must = item.must
        self.ends = ends = curve.ends
        self.worths = curve.worths
        self.set_up = set_up = curve.set_up_seconds
        self.low = low
        self.low_seconds = low_seconds = ends[low]
        self.low_cost = set_up + low_seconds
        self.high = high = bisect_right(ends, room_seconds) - 1
        self.high_seconds = high_seconds = ends[high]
        self.doses = high - low
        self.gain = 0.0
        self.index = -1
        self.row = (
            curve.reach,
            curve.log_gain,
            low_seconds,
            high_seconds,
            curve.value(low),
            curve.value(high),
            curve.amplitude,
        )
        """What the price loops read, in one piece."""

    def best_seconds(self, log_price: float) -> float:
        """The length that is worth most less its price."""
        seconds = self.curve.reach * (self.curve.log_gain - log_price)
        return min(max(seconds, self.low_seconds), self.high_seconds)

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
            self.flags,
            self.must,
        )


def curves_of(items: Iterable[Item], curve: float) -> dict[str, Curve]:
    """A curve for each item, by its id; good for every problem of these items, whatever its budget."""
    return {item.id: Curve(item, curve) for item in items}


def candidates_of(problem: Problem, curves: Mapping[str, Curve]) -> list[Candidate]:
    """The items whose floor alone fits the capacity."""
    capacity, playing, mode = problem.capacity_seconds, problem.budget_seconds, problem.floor_mode
    candidates = []
    for item in problem.items:
        curve = curves[item.id]
        room = capacity - curve.set_up_seconds
        if curve.least_seconds <= room:
            low = floor_from(item, curve.scale, curve.chunk_units, playing, mode)
            if curve.ends[low] <= room:
                candidates.append(Candidate(item, curve, low, room))
    return candidates
