"""Changes of a day of visits that may be worth trying.

A plan's worth is what its doses and its seconds would be worth at one price, less what it loses against that
price: unused seconds, doses that are not the best at the price, set-ups of further visits. A change of some windows
can at most undo the losses in them; and their smallest visits have to fit. So most changes need not be tried.
"""

from bisect import bisect_right
from collections.abc import Iterator, Mapping
from itertools import combinations, permutations
from typing import Final, TypeAlias

from bagatelle.engine.day_of_visits import Change, Day, Members

_MOST_SORTED: Final = 7

Move: TypeAlias = tuple[Change, Mapping[int, int] | None]
"""A change, and the units that are held in its first window."""


class Standing:
    """How the windows of a day stand: what each loses against the price, and the least that its visits take."""

    def __init__(self, day: Day, price: float, spare_tasks: Mapping[int, float]) -> None:
        self.day = day
        self.spare_tasks = spare_tasks
        """Tasks that may enter: index -> what it gains at the price."""
        self._price = price
        self.losses: list[float] = []
        self.least: list[int] = []
        self.update()

    def update(self) -> None:
        """Recompute after the day has changed."""
        day = self.day
        self.losses = [self._price * (room - load) for room, load in zip(day.windows, day.loads, strict=True)]
        for task, units in zip(day.tasks, day.units, strict=True):
            if not units:
                continue
            dose = sum(units.values())
            cost = task.ends[dose] + task.set_up * len(units)
            loss = task.gain - (task.worths[dose] - self._price * cost)
            for window in units:
                self.losses[window] += loss
        self.least = [sum(self.least_of(index) for index in members) for members in day.members]

    def least_of(self, index: int) -> int:
        """The least that a visit of a kept task takes: all of its floor where it is the only one."""
        task = self.day.tasks[index]
        only = len(self.day.units[index]) <= 1
        return task.set_up + (task.ends[task.low] if only else task.visit_seconds)

    def left(self, window: int) -> int:
        """What the smallest visits of a window leave of it."""
        return self.day.windows[window] - self.least[window]


def moves(standing: Standing, most_tasks: int) -> Iterator[Move]:
    """Every change of the kinds below, in a fixed order, as the day stands when it comes to it."""
    yield from _entering(standing, most_tasks)
    yield from _going_elsewhere(standing)
    yield from _shifting(standing.day)
    yield from _replacing(standing)
    yield from _swapping(standing)
    yield from _crowding_out(standing)
    yield from _sorting_anew(standing)
    yield from _further_visits(standing)
    yield from _entering_two(standing, most_tasks)


def _with(members: Members, index: int) -> Members:
    return tuple(sorted((*members, index)))


def _without(members: Members, index: int) -> Members:
    return tuple(one for one in members if one != index)


def _entering(standing: Standing, most_tasks: int) -> Iterator[Move]:
    """A task that is not kept visits one window."""
    day = standing.day
    for index, gain in standing.spare_tasks.items():
        for window in range(len(day.windows)):
            if day.units[index] or day.kept >= most_tasks:
                break
            if standing.losses[window] + gain > 0 and standing.least_of(index) <= standing.left(window):
                yield [(window, _with(day.members[window], index))], None


def _entering_two(standing: Standing, most_tasks: int) -> Iterator[Move]:
    """A task that is not kept visits two windows, in what nothing fills of the first."""
    day = standing.day
    count = len(day.windows)
    for index in standing.spare_tasks:
        task = day.tasks[index]
        least = task.set_up + task.visit_seconds
        for window in range(count):
            for other in range(window + 1, count):
                empty = day.windows[window] - day.loads[window]
                if day.units[index] or day.kept >= most_tasks or empty < least:
                    break
                if standing.left(other) >= least:
                    held = bisect_right(task.ends, empty - task.set_up) - 1
                    change = [(one, _with(day.members[one], index)) for one in (window, other)]
                    yield change, {index: held}


def _going_elsewhere(standing: Standing) -> Iterator[Move]:
    """A visit goes to another window, or its units to the task's other visits."""
    day = standing.day
    for window in range(len(day.windows)):
        for index in day.members[window]:
            others = [other for other in sorted(day.units[index]) if other != window]
            if others and index in day.members[window]:
                rest = (window, _without(day.members[window], index))
                yield [rest, *((other, day.members[other]) for other in others)], None
            for other in range(len(day.windows)):
                here = index in day.members[window] and index not in day.members[other]
                gains = here and standing.losses[window] + standing.losses[other] > 0
                if gains and standing.least_of(index) <= standing.left(other):
                    rest = (window, _without(day.members[window], index))
                    yield [(other, _with(day.members[other], index)), rest], None


def _shifting(day: Day) -> Iterator[Move]:
    """A task with several visits has fewer or more units in one of them, and the rest elsewhere."""
    for index, task in enumerate(day.tasks):
        for window in sorted(day.units[index]):
            for other in sorted(day.units[index]):
                if window == other or not {window, other} <= day.units[index].keys():
                    continue
                now = day.units[index][window]
                before = sum(units for one, units in day.units[index].items() if one < window)
                for held in dict.fromkeys((now - 1, now + 1, now - 2, task.smallest_visit(before))):
                    if held > 0 and held != now:
                        change = [(one, day.members[one]) for one in (window, other)]
                        yield change, {index: held}


def _replacing(standing: Standing) -> Iterator[Move]:
    """A task that is not kept takes the place of a visit."""
    day = standing.day
    for window in range(len(day.windows)):
        for index in day.members[window]:
            for entering, gain in standing.spare_tasks.items():
                if index not in day.members[window]:
                    break
                most = standing.losses[window] + gain - day.tasks[index].gain
                room = standing.left(window) + standing.least_of(index)
                if most > 0 and not day.units[entering] and standing.least_of(entering) <= room:
                    after = _with(_without(day.members[window], index), entering)
                    yield [(window, after)], None


def _swapping(standing: Standing) -> Iterator[Move]:
    """Two visits change windows."""
    day = standing.day
    count = len(day.windows)
    for window, other in combinations(range(count), 2):
        for index in day.members[window]:
            for swapped in day.members[other]:
                here, there = day.members[window], day.members[other]
                stands = index in here and swapped in there and index not in there and swapped not in here
                if not stands or standing.losses[window] + standing.losses[other] <= 0:
                    continue
                more = standing.least_of(swapped) - standing.least_of(index)
                if -standing.left(other) <= more <= standing.left(window):
                    after = (window, _with(_without(here, index), swapped))
                    yield [after, (other, _with(_without(there, swapped), index))], None


def _crowding_out(standing: Standing) -> Iterator[Move]:
    """A visit goes to another window in the place of a task that is not kept any more."""
    day = standing.day
    count = len(day.windows)
    for window, other in permutations(range(count), 2):
        for index in day.members[window]:
            for crowded in day.members[other]:
                here, there = day.members[window], day.members[other]
                if index not in here or crowded not in there or index in there:
                    continue
                most = standing.losses[window] + standing.losses[other] - day.tasks[crowded].gain
                more = standing.least_of(index) - standing.least_of(crowded)
                if most > 0 and len(day.units[crowded]) == 1 and more <= standing.left(other):
                    after = (other, _with(_without(there, crowded), index))
                    yield [after, (window, _without(here, index))], None


def _sorting_anew(standing: Standing) -> Iterator[Move]:
    """The visits of two windows are shared out anew between the two, every way but those above."""
    day = standing.day
    count = len(day.windows)
    for window, other in combinations(range(count), 2):
        here, there = day.members[window], day.members[other]
        movable = [index for index in (*here, *there) if (index in here) != (index in there)]
        if len(movable) > _MOST_SORTED or standing.losses[window] + standing.losses[other] <= 0:
            continue
        both = [index for index in here if index in there]
        for first in _shares(standing, movable, both, window, other):
            if (day.members[window], day.members[other]) != (here, there):
                break
            second = [index for index in movable if index not in first]
            yield [(window, tuple(sorted([*both, *first]))), (other, tuple(sorted([*both, *second])))], None


def _shares(
    standing: Standing, movable: list[int], both: list[int], window: int, other: int
) -> Iterator[list[int]]:
    """What the first window may have of the movable visits, if the smallest visits fit both."""
    here = standing.day.members[window]
    least = [standing.least_of(index) for index in movable]
    taken = sum(standing.least_of(index) for index in both)
    most = standing.day.windows[window] - taken
    fewest = sum(least) + taken - standing.day.windows[other]
    stays = sum(1 << place for place, index in enumerate(movable) if index in here)
    for choice in range(1 << len(movable)):
        moved = choice ^ stays
        away = (moved & stays).bit_count()
        if moved.bit_count() < 2 or (away == 1 and moved.bit_count() == 2):
            continue
        chosen = [place for place in range(len(movable)) if choice >> place & 1]
        if fewest <= sum(least[place] for place in chosen) <= most:
            yield [movable[place] for place in chosen]


def _further_visits(standing: Standing) -> Iterator[Move]:
    """A kept task also visits another window, beside the visits there or in the place of one.

    Its other windows are filled anew.
    """
    day = standing.day
    for index in [index for index, units in enumerate(day.units) if units]:
        task = day.tasks[index]
        least = task.set_up + task.visit_seconds
        for window in range(len(day.windows)):
            units = day.units[index]
            if not units or window in units:
                continue
            if least <= standing.left(window):
                yield [(window, _with(day.members[window], index)), *_others(day, index)], None
            for leaving in day.members[window]:
                if window in day.units[index] or leaving not in day.members[window]:
                    break
                most = standing.losses[window] + sum(standing.losses[other] for other in day.units[index])
                if len(day.units[leaving]) == 1:
                    most -= day.tasks[leaving].gain
                if most > 0 and least <= standing.left(window) + standing.least_of(leaving):
                    after = _with(_without(day.members[window], leaving), index)
                    yield [(window, after), *_others(day, index)], None


def _others(day: Day, index: int) -> list[tuple[int, Members]]:
    """The windows that a task visits, as they are."""
    return [(other, day.members[other]) for other in sorted(day.units[index])]


def warming(day: Day, window: int) -> Iterator[Move]:
    """A kept task that prepares visits one window more, with units that its other visits keep or give."""
    for index, task in enumerate(day.tasks):
        if not task.item.prepares or not day.units[index]:
            continue
        entered = (window, _with(day.members[window], index))
        yield [entered], None
        for other, units in sorted(day.units[index].items()):
            for held in range(units - 1, 0, -1):
                yield [(other, day.members[other]), entered], {index: held}
