"""Changes of a day of visits that may be worth trying, each with the most that it could gain.

A plan's worth is what its doses and its seconds would be worth at one price, less what it loses against that
price: unused seconds, doses that are not the best at the price, set-ups of further visits. A change of some windows
can at most undo the losses in them, so most changes need not be tried.
"""

from collections.abc import Iterator, Mapping
from typing import TypeAlias

from bagatelle.engine.day_of_visits import Change, Day, Members

Move: TypeAlias = tuple[Change, Mapping[int, int] | None]
"""A change, and the units that are held in its first window."""


class Losses:
    """What each window loses against the price, kept up to date with the day."""

    def __init__(self, day: Day, price: float) -> None:
        self._day = day
        self._price = price
        self.of_window: list[float] = []
        self.update()

    def update(self) -> None:
        """Recompute after the day has changed."""
        day = self._day
        self.of_window = [
            self._price * (room - load) for room, load in zip(day.windows, day.loads, strict=True)
        ]
        for task, units in zip(day.tasks, day.units, strict=True):
            if not units:
                continue
            dose = sum(units.values())
            cost = task.ends[dose] + task.set_up * len(units)
            loss = task.gain - (task.worths[dose] - self._price * cost)
            for window in units:
                self.of_window[window] += loss


def moves(day: Day, losses: Losses, spare_tasks: Mapping[int, float], task_limit: int) -> Iterator[Move]:
    """Every change of the kinds below, in a fixed order, as the day stands when it comes to it.

    Parameters
    ----------
    spare_tasks
        Tasks that may enter: index -> what it gains at the price.
    """
    yield from _entering(day, losses, spare_tasks, task_limit)
    yield from _further_visits(day)
    yield from _going_elsewhere(day, losses)
    yield from _shifting(day)
    yield from _replacing(day, losses, spare_tasks)
    yield from _swapping(day, losses)
    yield from _crowding_out(day, losses)


def _with(members: Members, index: int) -> Members:
    return tuple(sorted((*members, index)))


def _without(members: Members, index: int) -> Members:
    return tuple(one for one in members if one != index)


def _entering(day: Day, losses: Losses, spare_tasks: Mapping[int, float], task_limit: int) -> Iterator[Move]:
    """A task that is not kept visits one window."""
    for index, gain in spare_tasks.items():
        for window in range(len(day.windows)):
            if len(day.kept()) >= task_limit:
                return
            if not day.units[index] and losses.of_window[window] + gain > 0:
                yield [(window, _with(day.members[window], index))], None


def _further_visits(day: Day) -> Iterator[Move]:
    """A kept task also visits a window that has room; its other windows are filled anew."""
    for index in sorted(day.kept()):
        task = day.tasks[index]
        for window, room in enumerate(day.windows):
            units = day.units[index]
            if units and window not in units and room - day.loads[window] >= task.set_up + task.visit_seconds:
                others = [(other, day.members[other]) for other in sorted(units)]
                yield [(window, _with(day.members[window], index)), *others], None


def _going_elsewhere(day: Day, losses: Losses) -> Iterator[Move]:
    """A visit goes to another window, or its units to the task's other visits."""
    for window in range(len(day.windows)):
        for index in day.members[window]:
            others = [other for other in sorted(day.units[index]) if other != window]
            if others and index in day.members[window]:
                rest = (window, _without(day.members[window], index))
                yield [rest, *((other, day.members[other]) for other in others)], None
            for other in range(len(day.windows)):
                here = index in day.members[window] and index not in day.members[other]
                if here and losses.of_window[window] + losses.of_window[other] > 0:
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


def _replacing(day: Day, losses: Losses, spare_tasks: Mapping[int, float]) -> Iterator[Move]:
    """A task that is not kept takes the place of a visit."""
    for window in range(len(day.windows)):
        for index in day.members[window]:
            for entering, gain in spare_tasks.items():
                most = losses.of_window[window] + gain - day.tasks[index].gain
                if most > 0 and index in day.members[window] and not day.units[entering]:
                    after = _with(_without(day.members[window], index), entering)
                    yield [(window, after)], None


def _swapping(day: Day, losses: Losses) -> Iterator[Move]:
    """Two visits change windows."""
    count = len(day.windows)
    for window, other in ((one, two) for one in range(count) for two in range(one + 1, count)):
        for index in day.members[window]:
            for swapped in day.members[other]:
                here, there = day.members[window], day.members[other]
                stands = index in here and swapped in there and index not in there and swapped not in here
                if stands and losses.of_window[window] + losses.of_window[other] > 0:
                    yield (
                        [
                            (window, _with(_without(here, index), swapped)),
                            (other, _with(_without(there, swapped), index)),
                        ],
                        None,
                    )


def _crowding_out(day: Day, losses: Losses) -> Iterator[Move]:
    """A visit goes to another window in the place of a task that is not kept any more."""
    count = len(day.windows)
    for window, other in ((one, two) for one in range(count) for two in range(count) if one != two):
        for index in day.members[window]:
            for crowded in day.members[other]:
                here, there = day.members[window], day.members[other]
                most = losses.of_window[window] + losses.of_window[other] - day.tasks[crowded].gain
                stands = index in here and crowded in there and index not in there
                if stands and most > 0 and len(day.units[crowded]) == 1:
                    yield (
                        [(other, _with(_without(there, crowded), index)), (window, _without(here, index))],
                        None,
                    )
