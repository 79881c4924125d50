"""Filling one window: how many units each of its visits gets.

What the tasks get in other windows stands still meanwhile. First the best unit for its seconds again and again,
as long as one fits; then every two visits share what the two have between them anew, the best way there is.
"""

from bisect import bisect_right
from collections.abc import Sequence
from itertools import combinations
from typing import Final, NamedTuple

from bagatelle.engine.visit_task import VisitTask

_ROUNDS: Final = 4


class Stay(NamedTuple):
    """One visit that is to be filled."""

    task: VisitTask
    before: int
    """Units of the task in earlier windows."""
    elsewhere: int
    """Units of the task in all other windows."""
    least: int
    most: int


class Filled(NamedTuple):
    """What a window's visits get."""

    units: list[int]
    left: int
    """Seconds of the room that nothing fills."""


def fill(stays: Sequence[Stay], room: int) -> Filled | None:
    """Units of each visit; None where even the smallest visits take more than the room (seconds)."""
    left = room
    for task, before, _, least, most in stays:
        if least > most:
            return None
        left -= task.ends[before + least] - task.ends[before] + task.set_up
    if left < 0:
        return None
    units = [stay.least for stay in stays]
    if len(stays) == 1:
        task, before, _, least, most = stays[0]
        start = task.ends[before + least]
        end = min(bisect_right(task.ends, start + left) - 1, before + most)
        return Filled([end - before], left - (task.ends[end] - start))
    if len(stays) > 2:
        left = _add_units(stays, units, left)
    return Filled(units, _share_by_pairs(stays, units, left))


def _add_units(stays: Sequence[Stay], units: list[int], left: int) -> int:
    """Add the unit that is worth most for a second while one fits; what is left of the room."""
    while True:
        best_density, best = 0.0, -1
        for place, (task, before, elsewhere, _, most) in enumerate(stays):
            taken = units[place]
            if taken < most:
                density = task.densities[elsewhere + taken]
                end = before + taken
                if density > best_density and task.ends[end + 1] - task.ends[end] <= left:
                    best_density, best = density, place
        if best < 0:
            return left
        task, before, *_ = stays[best]
        end = before + units[best]
        left -= task.ends[end + 1] - task.ends[end]
        units[best] += 1


def _share_by_pairs(stays: Sequence[Stay], units: list[int], left: int) -> int:
    """Share what two visits have between them, for every two, until nothing is gained; what is left of the room."""
    count = len(stays)
    for _ in range(_ROUNDS if count > 2 else 1):
        gained = False
        for first, second in combinations(range(count), 2):
            shared = _share(stays[first], stays[second], units[first], units[second], left)
            if shared is not None:
                units[first], units[second], left = shared
                gained = True
        if not gained:
            break
    return left


def _share(one: Stay, other: Stay, one_now: int, other_now: int, left: int) -> tuple[int, int, int] | None:
    """(units of the one, of the other, seconds left) worth more than now; None where nothing is.

    Each number of units of the one that has fewer to choose from is tried; the other takes what is left.
    """
    if one.most - one.least > other.most - other.least:
        turned = _share(other, one, other_now, one_now, left)
        return None if turned is None else (turned[1], turned[0], turned[2])
    task, before, elsewhere, least, most = one
    ends, worths = task.ends, task.worths
    other_task, other_before, other_elsewhere, other_least, other_most = other
    other_ends, other_worths = other_task.ends, other_task.worths
    room = left + ends[before + one_now] + other_ends[other_before + other_now]
    smallest = other_ends[other_before + other_least]
    last = other_before + other_most
    shift = other_elsewhere - other_before
    best = worths[elsewhere + one_now] + other_worths[other_elsewhere + other_now]
    found = None
    for units in range(least, most + 1):
        reach = room - ends[before + units]
        if reach < smallest:
            break
        end = min(bisect_right(other_ends, reach) - 1, last)
        worth = worths[elsewhere + units] + other_worths[end + shift]
        if worth > best:
            best = worth
            found = (units, end - other_before, reach - other_ends[end])
    return found
