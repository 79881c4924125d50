"""Which sets of tasks are worth trying in several windows: those that gain most at one price of a second."""

from collections.abc import Iterator, Sequence
from heapq import heappush, heapreplace
from itertools import accumulate, islice
from math import fsum
from typing import Final

from bagatelle.engine.day_of_visits import Grounds, kept_legally
from bagatelle.engine.visit_task import VisitTask

_NODES: Final = 1500


def promising_sets(grounds: Grounds, allowed: Sequence[VisitTask], wanted: int) -> list[frozenset[int]]:
    """Legal sets whose floors fit the capacity, the most gain first, by the tasks' `gain`.

    A branch and bound that keeps the best so many; of large routines it sees, after a fixed number of nodes,
    only those near the greatest gains.
    """
    search = _SetSearch(grounds, allowed, wanted)
    search.run()
    return search.found()


class _SetSearch:
    def __init__(self, grounds: Grounds, allowed: Sequence[VisitTask], wanted: int) -> None:
        self._grounds = grounds
        self._wanted = wanted
        self._ordered = sorted(allowed, key=lambda task: (not task.item.must, -task.gain, task.index))
        self._sums = [0.0, *accumulate(max(task.gain, 0.0) for task in self._ordered)]
        self._musts = sum(task.item.must for task in self._ordered)
        self._best: list[tuple[float, tuple[int, ...]]] = []
        self._nodes = 0

    def run(self) -> None:
        """Start from what must be kept."""
        start = self._ordered[: self._musts]
        cost = sum(map(_least_cost, start))
        self._grow(self._musts, [task.index for task in start], cost, fsum(task.gain for task in start))

    def found(self) -> list[frozenset[int]]:
        """The sets, best first."""
        return [frozenset(members) for _, members in sorted(self._best, key=lambda one: (-one[0], one[1]))]

    def _grow(self, position: int, chosen: list[int], cost: int, gained: float) -> None:
        room = self._grounds.most_tasks - len(chosen)
        for place in range(position, len(self._ordered) if room > 0 else position):
            end = min(place + room, len(self._ordered))
            if self._nodes >= _NODES or self._is_too_little(gained + self._sums[end] - self._sums[place]):
                break
            task = self._ordered[place]
            more = cost + _least_cost(task)
            if more <= self._grounds.problem.capacity_seconds:
                self._nodes += 1
                self._grow(place + 1, [*chosen, task.index], more, gained + task.gain)
        self._keep(chosen, gained)

    def _is_too_little(self, gain: float) -> bool:
        return len(self._best) == self._wanted and gain <= self._best[0][0]

    def _keep(self, chosen: list[int], gained: float) -> None:
        if self._is_too_little(gained) or not kept_legally(self._grounds, set(chosen)):
            return
        if len(self._best) < self._wanted:
            heappush(self._best, (gained, tuple(chosen)))
        else:
            heapreplace(self._best, (gained, tuple(chosen)))


def smallest_sets(grounds: Grounds, allowed: Sequence[VisitTask], wanted: int) -> list[frozenset[int]]:
    """Legal sets of as few and as short tasks as can be, for windows that hardly hold anything."""
    return list(islice(_smallest(grounds, allowed), wanted))


def _smallest(grounds: Grounds, allowed: Sequence[VisitTask]) -> Iterator[frozenset[int]]:
    start = [task for task in allowed if task.item.must]
    ordered = sorted(allowed, key=lambda task: (task.item.strains, _least_cost(task), task.index))
    firsts = [start, *([*start, task] for task in ordered if task not in start)]
    for first in firsts:
        for chosen in (
            first,
            *([*first, task] for task in ordered if task.item.prepares and task not in first),
        ):
            kept = {task.index for task in chosen}
            fits = sum(map(_least_cost, chosen)) <= grounds.problem.capacity_seconds
            if fits and kept_legally(grounds, kept):
                yield frozenset(kept)


def _least_cost(task: VisitTask) -> int:
    """Set-up and floor."""
    return task.ends[task.low] + task.set_up
