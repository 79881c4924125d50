"""The walk: which task stands in which window, with how many units. The rule is told in `bagatelle.card`."""

from collections.abc import Mapping, Sequence

from bagatelle.card.day_time import day_playing_seconds, day_seconds, windows_of
from bagatelle.card.rotation import TodaysTask, TodaysTasks
from bagatelle.engine.budget import WindowTime
from bagatelle.engine.layout import Visit
from bagatelle.model.card import Card, CardTask, Lift, PreparedDoses
from bagatelle.model.sheet import Ask
from bagatelle.model.vocabulary import FloorMode

_Stay = tuple[int, int]
"""(window, units)."""


class DayWalk:
    """One day of a card. What it is given comes in one ask after the other; what stands stays."""

    def __init__(self, card: Card, tasks: TodaysTasks, turns: Mapping[str, str]) -> None:
        self._card = card
        self._tasks = tasks
        self._turns = turns
        self._anything_prepares = any(task.prepares for task in card.tasks)
        self._left: list[int] = []
        self._day_left = 0
        self._mode: FloorMode = "usual"
        self._playing = 0
        self._things = 0
        self.windows: tuple[WindowTime, ...] = ()
        """Of the last ask."""
        self.stays: dict[str, list[_Stay]] = {}
        """Task -> its visits, in the order of the day; tasks in the order in which they were begun."""

    @property
    def floor_mode(self) -> FloorMode:
        """Of the prepared plan that the last ask began with."""
        return self._mode

    def give(self, ask: Ask) -> None:
        """Walk on with what the day gives now."""
        is_first = not self.windows
        self._make_room(ask)
        for plan in self._starts(ask):
            self._mode = plan.floor_mode
            for lift in plan.lifts:
                self._climb(lift, plan if is_first else None)
            if self.stays:
                break
        for rung in self._card.rungs:
            self._climb(rung, None)

    def visits(self) -> tuple[Visit, ...]:
        """All visits; in each window in the order of the card."""
        found: list[Visit] = []
        for name in self._tasks.cards:
            if name not in self.stays:
                continue
            task, done = self._tasks[name], 0
            for window, units in self.stays[name]:
                seconds = task.ends[done + units] - task.ends[done]
                found.append(
                    Visit(
                        window=window,
                        task=name,
                        first_unit=done,
                        units=units,
                        seconds=seconds,
                        set_up_seconds=task.set_up_seconds,
                    )
                )
                done += units
        return tuple(found)

    def _make_room(self, ask: Ask) -> None:
        card = self._card
        self.windows = windows_of(card, ask)
        seconds = day_seconds(card, self.windows)
        self._playing = day_playing_seconds(card, ask, seconds)
        numbers = card.numbers
        as_usual = self._playing * numbers.usual_things // max(numbers.usual_things_seconds, 1)
        self._things = max(
            numbers.least_things,
            seconds // numbers.seconds_per_thing,
            min(as_usual, numbers.usual_things),
        )
        self._left = [window.playing_seconds for window in self.windows]
        # Without a limit of its own a day holds what its windows hold.
        self._day_left = sum(self._left) if numbers.most_seconds is None else numbers.most_seconds
        self._mode = "usual"
        for visit in self.visits():
            self._left[visit.window] -= visit.seconds + visit.set_up_seconds
            self._day_left -= visit.seconds + visit.set_up_seconds

    def _starts(self, ask: Ask) -> Sequence[PreparedDoses]:
        """The prepared plans to begin with, the best first; the next where nothing of one finds a place."""
        if not ask.windows:
            return (self._card.quarter,)
        seconds = day_seconds(self._card, self.windows)
        return [plan for plan in reversed(self._card.prepared) if plan.budget_seconds <= seconds]

    def _room(self, window: int) -> int:
        # What was planned for a day without a given time may reach into what now stays free.
        return max(min(self._left[window], self._day_left), 0)

    def _climb(self, lift: Lift, start: PreparedDoses | None) -> None:
        """Lift a task as far as there is room; `start` is the prepared plan that the day begins with."""
        name = self._turns[lift.task]
        before = self._units(name)
        if before > 0:
            task = self._tasks[name]
            target = task.units_within(lift.seconds)
            if target > before:
                self._take(name, self._further(task, before, target, self.stays[name][-1][0]))
        elif self._may_enter(self._tasks.cards[name], start):
            self._enter(name, lift.seconds, is_start=start is not None)

    def _enter(self, name: str, lift_seconds: int, *, is_start: bool) -> None:
        """Begin a task, if there is room; outside the start with its floor at least."""
        task = self._tasks[name]
        target = task.entering_units(lift_seconds, self._mode)
        stays = self._entry(task, target)
        units = sum([each for _, each in stays])
        if is_start or self._reaches_floor(task, units, target, lift_seconds):
            self._take(name, stays)

    def _units(self, name: str) -> int:
        return sum([units for _, units in self.stays.get(name, ())])

    def _may_enter(self, task: CardTask, start: PreparedDoses | None) -> bool:
        cards = self._tasks.cards
        prepared = any(cards[name].prepares for name in self.stays)
        if start is not None:
            # Where a prepared plan has nothing that prepares, nothing could be had that does.
            wants = any(cards[lift.task].prepares for lift in start.lifts)
            return prepared or not (task.strains and wants)
        things = len(self.stays) + 1 - (prepared or task.prepares)
        if things > self._things:
            return False
        return prepared or not (task.strains and self._anything_prepares)

    def _reaches_floor(self, task: TodaysTask, units: int, target: int, lift_seconds: int) -> bool:
        floor = task.floor_seconds(self._playing, self._mode)
        if units == 0:
            return False
        return task.ends[units] >= floor or (units == target and lift_seconds >= floor)

    def _entry(self, task: TodaysTask, target: int) -> list[_Stay]:
        """The visits of a task that is not begun: the first window that holds it whole, else the roomiest first."""
        first = self._first_window(task)
        windows = range(first, len(self._left))
        whole = task.set_up_seconds + task.ends[target]
        for window in windows:
            if self._room(window) >= whole:
                return [(window, target)]
        best, most = -1, 0
        for window in windows:
            if self._room(window) > most and self._fitting(task, 0, target, self._room(window)) > 0:
                best, most = window, self._room(window)
        if best < 0:
            return []
        units = self._fitting(task, 0, target, most)
        used = task.set_up_seconds + task.ends[units]
        return [(best, units), *self._later(task, units, target, best + 1, self._day_left - used)]

    def _first_window(self, task: TodaysTask) -> int:
        """What strains comes no earlier than what prepares."""
        if not task.strains:
            return 0
        return min(
            [stays[0][0] for name, stays in self.stays.items() if self._tasks.cards[name].prepares], default=0
        )

    def _further(self, task: TodaysTask, done: int, target: int, window: int) -> list[_Stay]:
        """The visits of a task that goes on: in the window of its last visit first, then in later ones."""
        grown = min(task.units_within(task.ends[done] + self._room(window)), target) - done
        used = task.ends[done + grown] - task.ends[done]
        later = self._later(task, done + grown, target, window + 1, self._day_left - used)
        return [(window, grown), *later] if grown > 0 else later

    def _later(self, task: TodaysTask, done: int, target: int, window: int, day_left: int) -> list[_Stay]:
        stays = []
        for place in range(window, len(self._left)):
            if done == target:
                break
            units = self._fitting(task, done, target, min(self._left[place], day_left))
            if units > 0:
                stays.append((place, units))
                day_left -= task.set_up_seconds + task.ends[done + units] - task.ends[done]
                done += units
        return stays

    def _fitting(self, task: TodaysTask, done: int, target: int, room: int) -> int:
        """How many units a new visit takes of a room; none where that is less than the smallest useful visit."""
        start = task.ends[done]
        units = min(task.units_within(start + room - task.set_up_seconds), target) - done
        if units <= 0:
            return 0
        return units if task.ends[done + units] - start >= self._least_visit_seconds(task) else 0

    def _least_visit_seconds(self, task: TodaysTask) -> int:
        """Its smallest useful piece; half of that on a day of which no window is long enough for all of it."""
        if self._mode == "unit":
            return 1
        longest = max([window.playing_seconds for window in self.windows])
        return task.least_visit_seconds(longest - task.set_up_seconds)

    def _take(self, name: str, stays: Sequence[_Stay]) -> None:
        task = self._tasks[name]
        for window, units in stays:
            before = self._units(name)
            mine = self.stays.setdefault(name, [])
            cost = task.ends[before + units] - task.ends[before]
            if mine and mine[-1][0] == window:
                mine[-1] = (window, mine[-1][1] + units)
            else:
                mine.append((window, units))
                cost += task.set_up_seconds
            self._left[window] -= cost
            self._day_left -= cost
