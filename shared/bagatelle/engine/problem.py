"""The planning problem as numbers: what each task costs and is worth at one budget.

A *dose* of n units takes the first n units in rotation order, going round again. A *plan* gives some tasks a
dose. Legal is a plan that

- gives each kept task at least its floor and at most its largest dose,
- costs no more than the capacity, where a task costs its set-up and the seconds of its dose,
- keeps no more things than the limit: a task that prepares comes on top, the others count,
- keeps every task that it must, and none that is not available,
- keeps a preparing task if it keeps a straining one (where that duty holds),
- keeps a task that is music (where that duty holds),
- keeps a task that is no warm-up (where that duty holds),
- keeps the stand-in only where it is the one task that prepares, and something strains,
- is not empty.

Its worth is the sum of its doses' worths. The optimum is the legal plan of greatest worth.
"""

import math
from bisect import bisect_left, bisect_right
from collections.abc import Collection, Container, Mapping
from functools import lru_cache
from itertools import cycle
from typing import Final, Protocol, TypeAlias

from msgspec import Struct

from bagatelle.model.vocabulary import FloorMode

WORTH_SCALE: Final = 1000

Doses: TypeAlias = Mapping[str, int]
"""Task id -> number of units, at least 1. A task that is not kept is not in it."""


class Item(Struct, frozen=True, kw_only=True):
    """One task as the solver sees it, whatever the budget."""

    id: str
    weight: float
    usual_seconds: int
    largest_seconds: int
    """The most playing seconds it may get. A task whose first unit is longer may still get that one unit."""
    unit_seconds: tuple[int, ...]
    """In rotation order."""
    chunk_seconds: int
    set_up_seconds: int
    strains: bool = False
    prepares: bool = False
    music: bool = False
    short_floor: bool = False
    must: bool = False
    warm_up: bool = False
    stand_in: bool = False
    """The warm-up that stands in: kept only beside something that strains and has nothing else before it."""


class Duties(Struct, frozen=True, kw_only=True):
    """Which rules hold for the plans of one budget."""

    prepare: bool = True
    """A straining task needs a preparing one."""
    music: bool = False
    """At least one task that is music."""
    more: bool = False
    """At least one task that is no warm-up."""
    task_limit: int
    """Of things; see `things`."""


class MayPrepare(Protocol):
    """A task in any shape that says whether it prepares."""

    @property
    def prepares(self) -> bool:
        """Whether it prepares for what strains."""


def things(tasks: Collection[MayPrepare]) -> int:
    """How many of the tasks of a plan count: one that prepares comes on top of what a day holds."""
    return len(tasks) - any(task.prepares for task in tasks)


class Problem(Struct, frozen=True, kw_only=True):
    """One window, one budget: choose doses of the items."""

    items: tuple[Item, ...]
    """In ascending order of id; only those that are available."""
    budget_seconds: int
    """The playing time of the budget in one window: what the floors go by."""
    capacity_seconds: int
    """The budget less the rests that a long window gives up."""
    floor_mode: FloorMode
    duties: Duties
    curve: float
    """The k of `worth_of`."""

    def things(self, kept: Container[str]) -> int:
        """How many of the tasks with these ids count."""
        return things([item for item in self.items if item.id in kept])


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
        ends = [0]
        for seconds in cycle(unit_seconds):
            if ends[-1] + seconds > largest_seconds and len(ends) > 1:
                break
            ends.append(ends[-1] + seconds)
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


class Worths(dict[int, int]):
    """Worths of the doses of one item by number of units, each computed when it is first asked for."""

    def __init__(self, weight: float, usual_seconds: int, scale: DoseScale, curve: float) -> None:
        super().__init__()
        self._weight = weight
        self._usual_seconds = usual_seconds
        self._scale = scale
        self._curve = curve

    def __missing__(self, units: int) -> int:
        worth = _worth(self._weight, self._usual_seconds, self._scale.seconds(units), self._curve)
        self[units] = worth
        return worth


@lru_cache(maxsize=2048)
def _worths(weight: float, usual_seconds: int, scale: DoseScale, curve: float) -> Worths:
    return Worths(weight, usual_seconds, scale, curve)


def worths_of(item: Item, curve: float) -> Worths:
    """Worths of an item's doses; kept, as one item is looked at for many budgets."""
    return _worths(item.weight, item.usual_seconds, scale_of(item), curve)


def floor_units(item: Item, scale: DoseScale, playing_seconds: int, mode: FloorMode) -> int:
    """The least number of units that a kept task gets.

    `max(chunk, min(T / 2, playing / 2) - set_up)`, where playing is what the budget holds in one window: the
    chunk rounded up to whole units, the rest rounded down. So things are cut rather than shrunk. Warm-ups, tone
    work and what is due soon have the chunk alone.
    """
    if mode == "unit":
        return 1
    chunk = scale.units_reaching(item.chunk_seconds)
    if mode == "chunk" or item.short_floor:
        return chunk
    # Halves of whole seconds: floor division is enough, as units are whole seconds too.
    target = min(item.usual_seconds, playing_seconds) // 2 - item.set_up_seconds
    return max(chunk, bisect_right(scale.ends, target) - 1)


def worth_of_doses(problem: Problem, doses: Doses) -> int:
    """Worth of a plan, legal or not."""
    return sum(
        worth_of(item, scale_of(item).seconds(doses[item.id]), problem.curve)
        for item in problem.items
        if item.id in doses
    )
