"""Packing doses into windows by size: what is hard to place first, with a few second thoughts.

A task goes whole into the window where its dose leaves least over, else where its floor fits, else it is split;
where one finds no place, the ones before it go elsewhere, for a fixed number of placings.
"""

from bisect import bisect_right
from collections.abc import Iterator, Mapping, Sequence
from itertools import accumulate, combinations, islice
from typing import Final, TypeAlias

from bagatelle.engine.day_of_visits import Grounds
from bagatelle.engine.layout import Laid
from bagatelle.engine.visit_task import VisitTask, opened_by, opening_of

_PLACINGS: Final = 25
_PAIRS: Final = 6

Place: TypeAlias = list[tuple[int, int, int]]
"""(window, units, seconds with set-up) of a task's visits."""


def pack(order: Sequence[VisitTask], doses: Mapping[int, int], grounds: Grounds) -> Laid | None:
    """The visits, at their floors, with room for the doses where there is; None where a task finds no place.

    What prepares is placed before what strains.
    """
    packing = _Packing(order, doses, grounds)
    if not packing.place_all():
        return None
    return sorted(
        (window, task.index, units)
        for task, place in zip(packing.order, packing.places, strict=True)
        for window, units, _ in place
    )


class _Packing:
    def __init__(self, order: Sequence[VisitTask], doses: Mapping[int, int], grounds: Grounds) -> None:
        self._rooms = list(grounds.windows)
        self._doses = doses
        self._opening = (
            opening_of(order, lambda task: task.ends[task.low]) if grounds.problem.duties.prepare else None
        )
        self._first = 0
        self._left = _PLACINGS
        self.order = opened_by(self._opening, order)
        self.places: list[Place] = []
        floors = [task.ends[task.low] + task.set_up for task in self.order]
        self._needed = list(accumulate(reversed(floors)))[::-1]

    def place_all(self) -> bool:
        """Place the tasks that have no place yet; whether all found one."""
        if len(self.places) == len(self.order):
            return True
        if self._needed[len(self.places)] > sum(self._rooms):
            return False
        task = self.order[len(self.places)]
        for place in self._options(task):
            if self._left == 0:
                return False
            self._left -= 1
            if task is self._opening:
                self._first = place[0][0]
            for window, _, seconds in place:
                self._rooms[window] -= seconds
            self.places.append(place)
            if self.place_all():
                return True
            self.places.pop()
            for window, _, seconds in place:
                self._rooms[window] += seconds
        return False

    def _options(self, task: VisitTask) -> Iterator[Place]:
        rooms = self._rooms
        floor = task.ends[task.low] + task.set_up
        windows = range(self._first if self._opening and task.item.strains else 0, len(rooms))
        if task is self._opening:
            yield from ([(window, task.low, floor)] for window in windows if rooms[window] >= floor)
            return
        whole = max(task.ends[self._doses[task.index]] + task.set_up, floor)
        fitting = sorted(
            (window for window in windows if rooms[window] >= whole), key=lambda w: (rooms[w], w)
        )
        yield from ([(window, task.low, whole)] for window in fitting)
        tight = [window for window in windows if floor <= rooms[window] < whole]
        for window in sorted(tight, key=lambda w: (-rooms[w], w)):
            yield [(window, task.low, rooms[window])]
        smallest = task.visit_seconds + task.set_up
        by_room = sorted((w for w in windows if rooms[w] >= smallest), key=lambda w: (-rooms[w], w))
        for pair in islice(combinations(by_room, 2), _PAIRS):
            yield from self._found(task, pair)
        for count in range(3, len(by_room) + 1):
            yield from self._found(task, by_room[:count])

    def _found(self, task: VisitTask, windows: Sequence[int]) -> Iterator[Place]:
        room = sum(self._rooms[window] - task.set_up for window in windows)
        place = self._spread(task, sorted(windows), 0) if room >= task.ends[task.low] else None
        if place is not None:
            yield place

    def _spread(self, task: VisitTask, windows: Sequence[int], done: int) -> Place | None:
        """Visits of what the floor lacks after so many units, early windows as full as can be."""
        if done >= task.low:
            return []
        if not windows:
            return None
        window, *later = windows
        start = task.ends[done] - task.set_up
        smallest = task.smallest_visit(done)
        most = min(bisect_right(task.ends, start + self._rooms[window]) - 1, task.high) - done
        enough = max(task.low - done, smallest)
        for units in range(min(most, enough), smallest - 1, -1):
            rest = self._spread(task, later, done + units)
            if rest is not None:
                return [(window, units, task.ends[done + units] - start), *rest]
        return None
