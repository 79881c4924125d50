"""Packing doses into windows by size: what is hard to place first, each where it leaves least room over."""

from bisect import bisect_right
from collections.abc import Iterable, Mapping, Sequence

from bagatelle.engine.day_of_visits import Grounds
from bagatelle.engine.layout import Laid
from bagatelle.engine.visit_task import VisitTask


def pack(order: Sequence[VisitTask], doses: Mapping[int, int], grounds: Grounds) -> Laid | None:
    """The visits, at their floors; None where one of the tasks finds no place.

    A task goes whole into the window where its dose leaves least over; else where most room is and its floor
    fits; else it is split. What prepares is placed before what strains, and early.
    """
    packing = _Packing(grounds.windows)
    prepare = grounds.problem.duties.prepare and any(task.item.strains for task in order)
    preparing = [task for task in order if task.item.prepares] if prepare else []
    first = 0
    if preparing:
        opening = min(preparing, key=lambda task: (task.ends[task.low], task.index))
        window = packing.place_first(opening)
        if window is None:
            return None
        first = window
        order = [task for task in order if task is not opening]
    for task in order:
        start = first if prepare and task.item.strains else 0
        if not packing.place(task, task.ends[doses[task.index]], range(start, len(grounds.windows))):
            return None
    return sorted(packing.laid)


class _Packing:
    def __init__(self, windows: Sequence[int]) -> None:
        self._rooms = list(windows)
        self.laid: Laid = []

    def place_first(self, task: VisitTask) -> int | None:
        """Place a task whole in the first window that has room for its floor."""
        floor = task.ends[task.low] + task.set_up
        window = next((window for window, room in enumerate(self._rooms) if room >= floor), None)
        if window is not None:
            self._put(task, window, task.low, floor)
        return window

    def place(self, task: VisitTask, seconds: int, windows: range) -> bool:
        """Place a task whole or split, with room for so many seconds if there is; whether it found a place."""
        whole = seconds + task.set_up
        floor = task.ends[task.low] + task.set_up
        fitting = [window for window in windows if self._rooms[window] >= whole]
        if fitting:
            self._put(task, min(fitting, key=lambda window: self._rooms[window]), task.low, whole)
            return True
        roomiest = max(windows, key=lambda window: (self._rooms[window], -window))
        if self._rooms[roomiest] >= floor:
            self._put(task, roomiest, task.low, self._rooms[roomiest])
            return True
        return self._split(task, windows)

    def _put(self, task: VisitTask, window: int, units: int, seconds: int) -> None:
        self.laid.append((window, task.index, units))
        self._rooms[window] -= seconds

    def _split(self, task: VisitTask, windows: range) -> bool:
        """Place the floor in as few of the roomiest windows as hold it."""
        by_room = sorted(windows, key=lambda window: (-self._rooms[window], window))
        for count in range(2, len(by_room) + 1):
            visits = self._spread(task, sorted(by_room[:count]))
            if visits is not None:
                for window, units, seconds in visits:
                    self._put(task, window, units, seconds)
                return True
        return False

    def _spread(self, task: VisitTask, windows: Iterable[int]) -> list[tuple[int, int, int]] | None:
        """(window, units, seconds with set-up) of the floor, each window filled as far as it goes."""
        visits = []
        done = 0
        for window in windows:
            start = task.ends[done]
            reach = start + self._rooms[window] - task.set_up
            if reach >= task.ends[task.low]:
                units = max(task.low - done, task.smallest_visit(done))
            else:
                units = bisect_right(task.ends, reach) - 1 - done
            if units < task.smallest_visit(done) or done + units > task.high:
                return None
            seconds = task.ends[done + units] - start + task.set_up
            if seconds > self._rooms[window]:
                return None
            visits.append((window, units, seconds))
            done += units
            if done >= task.low:
                return visits
        return None
