"""A task as several windows see it: its doses as lists of numbers, and what they gain at a price."""

from bisect import bisect_left
from collections.abc import Callable, Sequence

from bagatelle.engine.doses import Worths, floor_units, scale_of
from bagatelle.engine.problem import Item, Problem


class VisitTask:
    """One item of a problem, with what the search over visits asks again and again.

    A visit is legal where it lasts at least `visit_seconds`, the first units that reach the chunk; a dose, where
    it has `low` to `high` units.
    """

    __slots__ = (
        "densities",
        "ends",
        "gain",
        "high",
        "index",
        "item",
        "low",
        "rank",
        "set_up",
        "uniform",
        "visit_seconds",
        "worths",
    )

    def __init__(self, index: int, item: Item, problem: Problem, rank: int) -> None:
        scale = scale_of(item)
        worths = Worths(item, scale, problem.curve)
        self.index = index
        self.item = item
        self.rank = rank
        """The body's: lower comes first in a window."""
        self.set_up = item.set_up_seconds
        self.low = floor_units(item, scale, problem.budget_seconds, problem.floor_mode)
        room = problem.capacity_seconds - self.set_up
        self.high = max(min(scale.largest_units, scale.units_within(room)), self.low)
        self.ends: Sequence[int] = scale.ends
        """Seconds of 0, 1, 2 ... units."""
        self.worths = [0, *(worths[units] for units in range(1, self.high + 1))]
        """Worth of 0, 1, 2 ... units."""
        chunk = scale.units_reaching(item.chunk_seconds)
        self.visit_seconds = 1 if problem.floor_mode == "unit" else self.ends[chunk]
        self.uniform = len(set(item.unit_seconds)) == 1
        """Whether all units are of one length: then no visit depends on the ones before it."""
        self.densities = [
            (self.worths[units + 1] - self.worths[units]) / (self.ends[units + 1] - self.ends[units])
            for units in range(self.high)
        ]
        """Worth of a second of the next unit; falling, but for rounding."""
        self.gain = 0.0
        """The most that a dose in one visit is worth less its price; see `set_price`."""

    def dose_at(self, price: float) -> int:
        """The units that are worth their seconds at a price of a second, held between floor and largest dose."""
        least, most = self.low, self.high
        while least < most:
            middle = (least + most) // 2
            if self.densities[middle] >= price:
                least = middle + 1
            else:
                most = middle
        return least

    def set_price(self, price: float) -> None:
        """Find `gain` at a price of a second."""
        best = self.dose_at(price)
        # Rounded worths may make the last unit a little better or worse than the curve says.
        near = range(max(best - 1, self.low), min(best + 1, self.high) + 1)
        self.gain = max(self.worths[units] - price * (self.ends[units] + self.set_up) for units in near)

    def smallest_visit(self, done: int) -> int:
        """Units of the smallest visit after so many; more than there are where none is left."""
        return max(bisect_left(self.ends, self.ends[done] + self.visit_seconds) - done, 1)


def opening_of(tasks: Sequence[VisitTask], seconds_of: Callable[[VisitTask], int]) -> VisitTask | None:
    """What goes first: the shortest that prepares; None where nothing strains or nothing prepares."""
    preparing = [task for task in tasks if task.item.prepares]
    if not preparing or not any(task.item.strains for task in tasks):
        return None
    return min(preparing, key=lambda task: (seconds_of(task), task.index))


def opened_by(opening: VisitTask | None, tasks: Sequence[VisitTask]) -> list[VisitTask]:
    """The same tasks with this one first."""
    return list(tasks) if opening is None else [opening, *(task for task in tasks if task is not opening)]


def price_of_set(tasks: Sequence[VisitTask], capacity_seconds: int) -> float:
    """Worth of a second at which the doses of these tasks fill the capacity; 0 where all that there is fits."""
    room = capacity_seconds - sum(task.set_up for task in tasks)
    if sum(task.ends[task.high] for task in tasks) <= room:
        return 0.0
    below, above = 0.0, max(task.densities[0] for task in tasks)
    for _ in range(_HALVINGS):
        middle = (below + above) / 2
        if sum(task.ends[task.dose_at(middle)] for task in tasks) > room:
            below = middle
        else:
            above = middle
    return above


_HALVINGS = 14
