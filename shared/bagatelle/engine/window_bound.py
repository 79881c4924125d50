"""The problem of several windows relaxed to one window: no legal plan of the windows is worth more than its best.

Each task is asked alone which of its doses the windows can hold, and in how many visits at least. What no window
can hold is left out, floors and largest doses are held to what can be laid, and the set-ups of the visits that the
floor needs are paid. That tasks get in each other's way is not seen, so it is a bound and not the optimum.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from typing import TypeAlias

from msgspec.structs import replace

from bagatelle.engine.problem import Item, Problem
from bagatelle.engine.visit_task import VisitTask

_NEVER = 10**6


VisitsKnown: TypeAlias = dict[tuple[str, int, int], list[int]]
"""Id, largest number of units and seconds of a smallest visit -> what `visits_needed` said for these windows."""


def relaxed_problem(
    problem: Problem, tasks: Sequence[VisitTask], windows: Sequence[int], known: VisitsKnown
) -> Problem | None:
    """One window with the capacity of all; None where a task that must be kept fits no window.

    Parameters
    ----------
    problem, tasks
        The same items, as items and as tasks. The tasks' floors and largest doses are held to what can be laid.
    windows
        Playing seconds of each, in the order of the day.
    known
        Kept from search to search of the same windows; grows.
    """
    items = []
    for task in tasks:
        visits = _visits_of_floor(task, windows, known)
        if visits > 0:
            items.append(_relaxed(task, visits) if visits > 1 else task.item)
        elif task.item.must:
            return None
    return replace(problem, items=tuple(items))


def _visits_of_floor(task: VisitTask, windows: Sequence[int], known: VisitsKnown) -> int:
    """How many visits the task needs at least; 0 where the windows hold no dose of it. Holds it to what they do."""
    if task.ends[task.low] + task.set_up <= max(windows):
        return 1
    key = (task.item.id, task.high, task.visit_seconds)
    if key not in known:
        known[key] = visits_needed(task, windows)
    visits = known[key]
    doses = [units for units in range(task.low, task.high + 1) if visits[units] < _NEVER]
    if not doses:
        return 0
    task.low, task.high = doses[0], doses[-1]
    return min(visits[units] for units in doses)


def _relaxed(task: VisitTask, visits: int) -> Item:
    """The item with the doses and set-ups that windows leave it."""
    return replace(
        task.item,
        chunk_seconds=task.ends[task.low],
        short_floor=True,
        largest_seconds=task.ends[task.high],
        set_up_seconds=task.set_up * visits,
    )


def visits_needed(task: VisitTask, windows: Sequence[int]) -> list[int]:
    """For each number of units the least number of visits that hold them; a million where none do."""
    ends = task.ends
    needed = [0] + [_NEVER] * task.high
    for window in windows:
        room = window - task.set_up
        if room < task.visit_seconds:
            continue
        before = needed
        needed = list(before)
        for units in range(1, task.high + 1):
            if needed[units] == 1:
                continue
            # The visit begins after `first` to `last` units, so that it fits the window and is no smaller than
            # the smallest.
            first = bisect_left(ends, ends[units] - room)
            last = bisect_right(ends, ends[units] - task.visit_seconds)
            if first < last:
                needed[units] = min(needed[units], min(before[first:last]) + 1)
    return needed
