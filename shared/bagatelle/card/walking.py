"""The walk: which task stands in which window, with how many units. The rule is told in `bagatelle.card`."""

from collections.abc import Mapping, Sequence
from itertools import product

from bagatelle.card.day_time import day_playing_seconds, day_seconds, windows_of
from bagatelle.card.day_visits import DayVisits
from bagatelle.card.rotation import TodaysTask, TodaysTasks
from bagatelle.model.card import Card, CardTask, Lift, PreparedDoses
from bagatelle.model.sheet import Ask
from bagatelle.model.vocabulary import FloorMode

_AS_OFTEN_AS_IT_GOES = 100_000


class DayWalk:
    """One day of a card. What it is given comes in one ask after the other; what stands stays."""

    def __init__(self, card: Card, tasks: TodaysTasks, turns: Mapping[str, str]) -> None:
        self._card = card
        self._tasks = tasks
        self._turns = turns
        self._anything_prepares = any(task.prepares for task in card.tasks)
        self._music = [task.id for task in card.tasks if task.music]
        self._mode: FloorMode = "usual"
        self._playing = 0
        self._things = 0
        self._rounds = 0
        self._may_be_cold = True
        self._strain_comes = False
        self.day = DayVisits(tasks)

    @property
    def floor_mode(self) -> FloorMode:
        """Of the prepared plan that the last ask began with."""
        return self._mode

    def give(self, ask: Ask) -> None:
        """Walk on with what the day gives now.

        In several windows, or where the day is longer than short, everything comes once before anything comes
        again, and again before anything comes a third time.
        """
        is_first = not self.day.windows
        self._make_room(ask)
        plans = self._starts(ask)
        seconds = day_seconds(self._card, self.day.windows)
        is_long = seconds > self._card.numbers.short_seconds
        several = len(self.day.windows) > 1
        self._rounds, self._may_be_cold = int(several or is_long), not several
        plan = self._start(plans, is_first=is_first)
        if several or is_long:
            if several:
                self._spread_music()
            if is_long:
                self._climb_rungs(self._music)
            self._climb_rungs(self._tasks.cards)
            self._rounds = 2
            self._climb_rungs(self._music)
            self._climb_rungs(self._tasks.cards)
            self._rounds, self._may_be_cold = _AS_OFTEN_AS_IT_GOES, True
            self._start(plans if plan is None else (plan,), is_first=is_first)
        self._climb_rungs(self._tasks.cards)

    def _make_room(self, ask: Ask) -> None:
        card = self._card
        windows = windows_of(card, ask)
        seconds = day_seconds(card, windows)
        self._playing = day_playing_seconds(card, ask, seconds)
        numbers = card.numbers
        as_usual = self._playing * numbers.usual_things // max(numbers.usual_things_seconds, 1)
        self._things = max(
            numbers.least_things,
            seconds // numbers.seconds_per_thing,
            min(as_usual, numbers.usual_things),
        )
        self._mode = "usual"
        self.day.make_room(windows, numbers.most_seconds)

    def _starts(self, ask: Ask) -> Sequence[PreparedDoses]:
        """The prepared plans to begin with, the best first; the next where nothing of one finds a place."""
        if not ask.windows:
            return (self._card.quarter,)
        seconds = day_seconds(self._card, self.day.windows)
        return [plan for plan in reversed(self._card.prepared) if plan.budget_seconds <= seconds]

    def _start(self, plans: Sequence[PreparedDoses], *, is_first: bool) -> PreparedDoses | None:
        """Climb the lifts of the first plan after which the day holds something; which it was."""
        cards = self._tasks.cards
        for plan in plans:
            self._mode = plan.floor_mode
            self._strain_comes = any(cards[self._turns[lift.task]].strains for lift in plan.lifts)
            for lift in plan.lifts:
                self._climb(lift, plan if is_first else None)
            if self.day.stays:
                return plan
        return None

    def _climb_rungs(self, names: Sequence[str] | Mapping[str, CardTask]) -> None:
        for rung in self._card.rungs:
            if self._turns[rung.task] in names:
                self._climb(rung, None)

    def _climb(self, lift: Lift, start: PreparedDoses | None) -> None:
        """Lift a task as far as there is room; `start` is the prepared plan that the day begins with."""
        name = self._turns[lift.task]
        before = self.day.units(name)
        if before > 0:
            task = self._tasks[name]
            target = self._held(task, task.units_within(lift.seconds))
            if target > before:
                self._go_further(task, target)
        elif self._may_enter(self._tasks.cards[name], start):
            self._enter(self._tasks[name], lift.seconds, is_start=start is not None)

    def _held(self, task: TodaysTask, units: int) -> int:
        """No more rounds than it is the turn of; on such a day a warm-up goes round once, to be warm."""
        if self._rounds == 0:
            return units
        return min(units, task.units_of_rounds(1 if task.card.area == "warm-up" else self._rounds))

    def _may_enter(self, task: CardTask, start: PreparedDoses | None) -> bool:
        cards = self._tasks.cards
        stays = self.day.stays
        prepared = any(cards[name].prepares for name in stays)
        things = len(stays) + 1 - (prepared or task.prepares)
        is_held = start is None or self._card.numbers.most_seconds is not None
        if is_held and things > self._things:
            return False
        if start is not None:
            # Where a prepared plan has nothing that prepares, nothing could be had that does.
            wants = any(cards[lift.task].prepares for lift in start.lifts)
            return prepared or not (task.strains and wants)
        return prepared or not (task.strains and self._anything_prepares)

    def _enter(self, task: TodaysTask, lift_seconds: int, *, is_start: bool) -> None:
        """Begin a task, if there is room; outside the start with its floor at least."""
        target = self._held(task, task.entering_units(lift_seconds, self._mode))
        before = self.day.saved()
        self._begin(task, target, cold=False)
        if self._may_be_cold and task.strains and self.day.units(task.card.id) == 0:
            self._begin(task, target, cold=True)
        units = self.day.units(task.card.id)
        if not is_start and not self._reaches_floor(task, units, target, lift_seconds):
            self.day.restore(before)

    def _reaches_floor(self, task: TodaysTask, units: int, target: int, lift_seconds: int) -> bool:
        floor = task.floor_seconds(self._playing, self._mode)
        if units == 0:
            return False
        return task.ends[units] >= floor or (units == target and lift_seconds >= floor)

    def _begin(self, task: TodaysTask, target: int, *, cold: bool) -> None:
        """The visits of a task that is not begun: the first window that holds it whole, else the roomiest first."""
        windows = self._in_order(task)
        whole = task.set_up_seconds + task.ends[target]
        best, most = -1, 0
        for window in windows:
            room = self.day.room_for(task, window, cold=cold)
            if room >= whole:
                self.day.visit(task, window, target, cold=cold)
                return
            if room > most and self._fitting(task, target, window, room) > 0:
                best, most = window, room
        if best >= 0:
            self.day.visit(task, best, self._fitting(task, target, best, most), cold=cold)
            self._go_on(task, target, best + 1, cold=cold)

    def _in_order(self, task: TodaysTask) -> list[int]:
        """What strains looks first where something prepares, and no earlier than that; what prepares first where
        nothing does, and so does the rest where strain is to come.
        """
        windows = range(len(self.day.windows))
        if len(windows) == 1:
            return [0]
        ready = [window for window in windows if self.day.is_ready(window)]
        others = [window for window in windows if window not in ready]
        if task.strains:
            first = min(ready, default=0)
            return [*ready, *[window for window in others if window > first or not ready]]
        if task.prepares or self._strain_comes:
            return [*others, *ready]
        return list(windows)

    def _go_further(self, task: TodaysTask, target: int) -> None:
        """A task goes on: in the window of its last visit first, then in later ones."""
        day, name = self.day, task.card.id
        window, done = day.last_window(name), day.units(name)
        grown = min(task.units_within(task.ends[done] + day.room(window)), target) - done
        if grown > 0:
            day.take(name, window, grown)
        self._go_on(task, target, window + 1, cold=False)
        if self._may_be_cold and task.strains:
            self._go_on(task, target, day.last_window(name) + 1, cold=True)

    def _go_on(self, task: TodaysTask, target: int, first: int, *, cold: bool) -> None:
        """New visits in later windows, one after the other, until the target is reached."""
        day, name = self.day, task.card.id
        for window in range(first, len(day.windows)):
            if day.units(name) >= target:
                break
            units = self._fitting(task, target, window, day.room_for(task, window, cold=cold))
            if units > 0:
                day.visit(task, window, units, cold=cold)

    def _fitting(self, task: TodaysTask, target: int, window: int, room: int) -> int:
        """How many units a new visit takes of a room; none where that is less than the smallest useful visit."""
        done = self.day.units(task.card.id)
        start = task.ends[done]
        units = min(task.units_within(start + room - task.set_up_seconds), target) - done
        if units <= 0:
            return 0
        useful = task.ends[done + units] - start >= self._least_visit_seconds(task, window)
        return units if useful else 0

    def _least_visit_seconds(self, task: TodaysTask, window: int) -> int:
        """Its smallest useful piece; half of that in a window that is not long enough for all of it."""
        if self._mode == "unit":
            return 1
        return task.least_visit_seconds(self.day.windows[window].playing_seconds - task.set_up_seconds)

    def _spread_music(self) -> None:
        """Of two windows in a row one has music in hand, where a useful piece of it finds room there."""
        of_rungs = dict.fromkeys([self._turns[rung.task] for rung in self._card.rungs])
        for later in range(1, len(self.day.windows)):
            if any(self.day.holds(window, self._music) for window in (later - 1, later)):
                continue
            begun = [name for name in self.day.stays if name in self._music]
            others = [name for name in of_rungs if name in self._music and name not in begun]
            for window, name in product((later, later - 1), (*begun, *others)):
                if self._bring(self._tasks[name], window):
                    break

    def _bring(self, task: TodaysTask, window: int) -> bool:
        """Give a task one more useful visit, of units that it has not had today; whether there is room for it."""
        day, name = self.day, task.card.id
        done = day.units(name)
        if day.last_window(name) >= window or (done == 0 and not self._may_enter(task.card, None)):
            return False
        if window not in self._in_order(task):
            return False
        chunk = task.scale.units_reaching(task.ends[done] + task.card.chunk_seconds)
        target = min(max(chunk, done + 1), task.units_of_rounds(1))
        units = self._fitting(task, target, window, day.room_for(task, window, cold=False))
        if units > 0:
            day.visit(task, window, units, cold=False)
        return units > 0
