"""Laying doses into windows one after another: which visits each task gets, and when.

The windows are filled in the order of the day. A task that a window can't hold whole goes on in the next, in
visits no smaller than its smallest, each paying its set-up.
"""

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from typing import TypeAlias

from msgspec import Struct

from bagatelle.engine.visit_task import VisitTask

Laid: TypeAlias = list[tuple[int, int, int]]
"""(window, index of the task, units of the visit), in the order of the day."""


class Visit(Struct, frozen=True, kw_only=True):
    """One stay with a task inside one window."""

    window: int
    task: str
    first_unit: int
    """How many units of the dose were played before."""
    units: int
    seconds: int
    set_up_seconds: int


def lay_out(doses: Iterable[tuple[VisitTask, int]], windows: Sequence[int]) -> Laid | None:
    """The visits of each dose in turn; None where the windows (playing seconds) can't hold them."""
    laid: Laid = []
    window = 0
    room = windows[0]
    for task, dose in doses:
        ends = task.ends
        done = 0
        while done < dose:
            units = _visit_units(task, dose, done, room)
            if units == 0:
                window += 1
                if window == len(windows):
                    return None
                room = windows[window]
                continue
            laid.append((window, task.index, units))
            room -= ends[done + units] - ends[done] + task.set_up
            done += units
    return laid


def _visit_units(task: VisitTask, dose: int, done: int, room: int) -> int:
    """How many units the next visit takes of a room; none where no useful visit fits."""
    ends = task.ends
    start, end = ends[done], ends[dose]
    reach = start + room - task.set_up
    if reach >= end:
        return dose - done
    # What is left for later must be a useful visit too.
    units = bisect_right(ends, min(reach, end - task.visit_seconds)) - 1 - done
    if units <= 0 or ends[done + units] - start < task.visit_seconds:
        return 0
    return units


def seconds_of_visits(visits: Iterable[Visit]) -> int:
    """Doses and set-ups together."""
    return sum(visit.seconds + visit.set_up_seconds for visit in visits)
