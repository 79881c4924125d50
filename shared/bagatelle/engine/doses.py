"""Doses of one item: how long they take, and what they are worth."""

import math
from bisect import bisect_left, bisect_right
from functools import lru_cache
from typing import Final

from bagatelle.engine.problem import Item
from bagatelle.model.vocabulary import FloorMode

WORTH_SCALE: Final = 1000


def worth_of(item: Item, played_seconds: int, curve: float) -> int:
    """Worth of so many seconds of playing: `round(1000 * w * T * g(t / T))`.

    `g(r) = (1 - exp(-k r)) / (1 - exp(-k))` with `k = curve`: the first minutes are worth most. What goes
    past the usual time is worth nothing more.
    """
    return _worth(item.weight, item.usual_seconds, played_seconds, curve)


def _worth(weight: float, usual_seconds: int, played_seconds: int, curve: float) -> int:
    ratio = min(played_seconds, usual_seconds) / usual_seconds
    share = (1.0 - math.exp(-curve * ratio)) / (1.0 - math.exp(-curve))
    return round(WORTH_SCALE * weight * usual_seconds * share)


class DoseScale:
    """Seconds of the doses of one item, by number of units."""

    __slots__ = ("ends", "largest_units")

    def __init__(self, unit_seconds: tuple[int, ...], largest_seconds: int) -> None:
        ends = [0, unit_seconds[0]]
        units = len(unit_seconds)
        end = unit_seconds[0] + unit_seconds[1 % units]
        while end <= largest_seconds:
            ends.append(end)
            end += unit_seconds[(len(ends) - 1) % units]
        self.ends = ends
        """Seconds of 0, 1, 2 ... units, up to the largest dose; at least one unit, however long."""
        self.largest_units = len(ends) - 1

    def seconds(self, units: int) -> int:
        """Playing seconds of a dose of so many units."""
        return self.ends[units]

    def units_within(self, seconds: int) -> int:
        """The largest dose that takes no longer than that; 0 where there is none."""
        return max(bisect_right(self.ends, seconds) - 1, 0)

    def units_reaching(self, seconds: int) -> int:
        """The smallest dose of at least one unit that takes at least that long; else the largest."""
        return max(min(bisect_left(self.ends, seconds), self.largest_units), 1)


@lru_cache(maxsize=2048)
def _scale(unit_seconds: tuple[int, ...], largest_seconds: int) -> DoseScale:
    return DoseScale(unit_seconds, largest_seconds)


def scale_of(item: Item) -> DoseScale:
    """The scale of an item; kept, as one item is looked at for many budgets."""
    return _scale(item.unit_seconds, item.largest_seconds)


def usual_scale_of(item: Item) -> DoseScale:
    """The scale up to its usual time, whatever the day holds it to."""
    return _scale(item.unit_seconds, item.usual_seconds)


class Worths:
    """Worths of the doses of one item by number of units, each computed when it is first asked for."""

    __slots__ = ("_curve", "_ends", "_known", "_usual_seconds", "_weight")

    def __init__(self, item: Item, scale: DoseScale, curve: float) -> None:
        self._weight = item.weight
        self._usual_seconds = item.usual_seconds
        self._ends = scale.ends
        self._curve = curve
        self._known = [-1] * len(self._ends)

    def __getitem__(self, units: int) -> int:
        worth = self._known[units]
        if worth < 0:
            worth = _worth(self._weight, self._usual_seconds, self._ends[units], self._curve)
            self._known[units] = worth
        return worth


def floor_units(item: Item, scale: DoseScale, playing_seconds: int, mode: FloorMode) -> int:
    """The least number of units that a kept task gets.

    `max(chunk, min(T / 2, playing / 2) - set_up)`, where playing is what the budget holds in one window: the
    chunk rounded up to whole units, the rest rounded down. So things are cut rather than shrunk. Warm-ups, tone
    work and what is due soon have the chunk alone.
    """
    chunk = scale.units_reaching(item.chunk_seconds)
    return floor_from(item, scale, chunk, playing_seconds, mode)


def floor_from(item: Item, scale: DoseScale, chunk_units: int, playing_seconds: int, mode: FloorMode) -> int:
    """As `floor_units`, by whoever knows the chunk in whole units already: no budget changes it."""
    if mode == "unit":
        return 1
    if mode == "chunk" or item.short_floor:
        return chunk_units
    # Halves of whole seconds: floor division is enough, as units are whole seconds too.
    target = min(item.usual_seconds, playing_seconds) // 2 - item.set_up_seconds
    return max(chunk_units, bisect_right(scale.ends, target) - 1)
