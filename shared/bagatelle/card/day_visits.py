"""The visits of a day as a walk makes them: room, and what has to come before what strains."""

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from bagatelle.card.rotation import TodaysTask, TodaysTasks
from bagatelle.engine.budget import WindowTime
from bagatelle.engine.layout import Visit

Stay = tuple[int, int]
"""(window, units)."""


class Readying(NamedTuple):
    """A visit of what prepares, that has to go before what strains in a window."""

    task: str
    units: int
    seconds: int
    """Set-up counted in."""
    is_split: bool
    """Whether its units leave the visit that it made last: the day may hold no more of it."""


class DayVisits:
    """Who visits which window with how many units, and what is left of each."""

    def __init__(self, tasks: TodaysTasks) -> None:
        self._tasks = tasks
        self._preparing = [name for name, task in tasks.cards.items() if task.prepares]
        self._left: list[int] = []
        self._day_left = 0
        self._kept: Mapping[str, int] = {}
        self.windows: Sequence[WindowTime] = ()
        """Of the last ask."""
        self.stays: dict[str, list[Stay]] = {}
        """Task -> its visits, in the order of the day; tasks in the order in which they were begun."""

    def make_room(self, windows: Sequence[WindowTime], most_seconds: int | None) -> None:
        """Go on with windows that are no shorter; what stands in them stays."""
        self.windows = windows
        self._left = [window.playing_seconds for window in windows]
        # Without a limit of its own a day holds what its windows hold.
        self._day_left = sum(self._left) if most_seconds is None else most_seconds
        for visit in self.listed():
            self._spend(visit.window, visit.seconds + visit.set_up_seconds)
        self._kept = {name: self.units(name) for name in self.stays}

    def listed(self) -> tuple[Visit, ...]:
        """All visits; in each window in the order of the card."""
        found: list[Visit] = []
        for name in self._tasks.cards:
            if name not in self.stays:
                continue
            task, done = self._tasks[name], 0
            for window, units in self.stays[name]:
                found.append(
                    Visit(
                        window=window,
                        task=name,
                        first_unit=done,
                        units=units,
                        seconds=task.ends[done + units] - task.ends[done],
                        set_up_seconds=task.set_up_seconds,
                    )
                )
                done += units
        return tuple(found)

    def saved(self) -> tuple[dict[str, list[Stay]], list[int], int]:
        """Where the day stands, to come back to."""
        stays = {name: list(each) for name, each in self.stays.items()}
        return stays, list(self._left), self._day_left

    def restore(self, saved: tuple[dict[str, list[Stay]], list[int], int]) -> None:
        """Come back to where the day stood."""
        self.stays, self._left, self._day_left = saved

    def units(self, name: str) -> int:
        """All units of a task that the day holds."""
        return sum([units for _, units in self.stays.get(name, ())])

    def last_window(self, name: str) -> int:
        """Of its last visit; -1 where it has none."""
        stays = self.stays.get(name)
        return stays[-1][0] if stays else -1

    def holds(self, window: int, names: Sequence[str]) -> bool:
        """Whether any of these tasks visits a window."""
        return any(place == window for name in names for place, _ in self.stays.get(name, ()))

    def is_ready(self, window: int) -> bool:
        """Whether something that prepares visits it."""
        return self.holds(window, self._preparing)

    def room(self, window: int) -> int:
        """What was planned for a day without a given time may reach into what now stays free."""
        return max(min(self._left[window], self._day_left), 0)

    def room_for(self, task: TodaysTask, window: int, *, cold: bool) -> int:
        """What a window holds of a new visit: with what strains comes what prepares, unless it may come cold."""
        room = self.room(window)
        # Where nothing fits anyway, it need not be known what would have to go before it.
        if cold or room <= task.set_up_seconds or not self._wants_readying(task, window):
            return room
        readying = self._readying(window)
        return max(room - readying.seconds, 0) if readying is not None else 0

    def visit(self, task: TodaysTask, window: int, units: int, *, cold: bool) -> None:
        """Give a task a new visit; with what strains comes what prepares."""
        readying = None
        if not cold and self._wants_readying(task, window):
            readying = self._readying(window)
        if readying is not None:
            if readying.is_split:
                self._take_back(readying.task, readying.units)
            self.take(readying.task, window, readying.units)
        self.take(task.card.id, window, units)

    def take(self, name: str, window: int, units: int) -> None:
        """Give a task units of a window: in the visit that is there, else in a new one behind all others."""
        task, done = self._tasks[name], self.units(name)
        cost = task.ends[done + units] - task.ends[done]
        mine = self.stays.setdefault(name, [])
        if mine and mine[-1][0] == window:
            mine[-1] = (window, mine[-1][1] + units)
        else:
            mine.append((window, units))
            cost += task.set_up_seconds
        self._spend(window, cost)

    def _take_back(self, name: str, units: int) -> None:
        """The last units of its last visit, not all of them."""
        task, done = self._tasks[name], self.units(name)
        window, before = self.stays[name][-1]
        self.stays[name][-1] = (window, before - units)
        self._spend(window, task.ends[done - units] - task.ends[done])

    def _spend(self, window: int, seconds: int) -> None:
        self._left[window] -= seconds
        self._day_left -= seconds

    def _wants_readying(self, task: TodaysTask, window: int) -> bool:
        return task.strains and len(self.windows) > 1 and bool(self._preparing) and not self.is_ready(window)

    def _readying(self, window: int) -> Readying | None:
        """The shortest visit of what is begun, else of anything that prepares; the first of equals."""
        begun = [name for name in self._preparing if name in self.stays]
        others = [name for name in self._preparing if name not in self.stays]
        for names in (begun, others):
            found = [each for name in names if (each := self._readying_of(name, window)) is not None]
            if found:
                return min(found, key=lambda each: each.seconds)
        return None

    def _readying_of(self, name: str, window: int) -> Readying | None:
        """Its next units, as few as are half of a useful visit; else some of those that it had last."""
        if self.last_window(name) >= window:
            return None
        task, done = self._tasks[name], self.units(name)
        ends, least = task.ends, task.least_readying_seconds
        for units in range(1, len(ends) - done):
            seconds = ends[done + units] - ends[done]
            if seconds >= least:
                return Readying(name, units, task.set_up_seconds + seconds, is_split=False)
        if done == 0:
            return None
        last = self.stays[name][-1][1]
        for units in range(1, min(last - 1, done - self._kept.get(name, 0)) + 1):
            seconds = ends[done] - ends[done - units]
            if seconds >= least:
                stays_useful = ends[done - units] - ends[done - last] >= least
                cost = task.set_up_seconds + seconds
                return Readying(name, units, cost, is_split=True) if stays_useful else None
        return None
