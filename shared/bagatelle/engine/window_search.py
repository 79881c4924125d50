"""The search for a good plan of several windows: promising sets of tasks, laid in several ways, then improved.

Every set is laid into the windows in a few orders and its windows are filled; the best of these days are improved
by the changes of `window_moves` until none of them gains anything. All of it is in a fixed order and ends after a
fixed number of trials, so the same problem gives the same plan.
"""

from collections.abc import Iterable, Iterator, Sequence
from itertools import combinations
from typing import Final

from bagatelle.engine.day_of_visits import BodyOrder, Day, Grounds, Trial, visit_seconds
from bagatelle.engine.layout import Laid, lay_out
from bagatelle.engine.visit_task import VisitTask, opened_by, opening_of, price_of_set
from bagatelle.engine.window_moves import Standing, moves, warming
from bagatelle.engine.window_pack import pack

_WARMTH_SHARE: Final = 0.1
"""Of a day's worth: the most that warming up again in later windows may cost."""
WARMTH_SECONDS: Final = 120
"""Longer than this nobody warms up again. Common practice, no source."""
# Its type is written out: mypyc loses a Final that is a tuple of so many floats.
_PRICE_STEPS: Final[tuple[float, ...]] = (1.0, 1.05, 1.12, 1.3)


class WindowSearch:
    """Searches one problem; the best day so far is kept."""

    def __init__(self, grounds: Grounds, allowed: Sequence[VisitTask], price: float) -> None:
        self._grounds = grounds
        self._tasks = grounds.tasks
        self._price = price
        self._spare = {
            task.index: task.gain
            for task in sorted(allowed, key=lambda task: (-task.gain, task.index))
            if not task.item.stand_in
        }
        self._day = Day(grounds)
        self.steps = 0
        self.worth = -1
        self.laid: Laid = []

    def days_of(self, kept: frozenset[int]) -> list[tuple[int, Laid]]:
        """(worth, visits) of the ways to lay a set, windows filled; none where it does not go in."""
        days = []
        for laid in dict.fromkeys(map(tuple, self._ways(sorted(kept)))):
            self.steps += 1
            self._day.begin(laid)
            if self._day.spare < 0 or not self._day.is_legal(self._day.members):
                continue
            self._fill_all()
            days.append((self._day.worth(), self._day.laid()))
        return days

    def _climb(self, trials: int) -> None:
        """Take changes that gain until none does, at most so many trials."""
        day = self._day
        standing = Standing(day, self._price, self._spare)
        tried: dict[tuple[object, ...], tuple[int, ...]] = {}
        end = self.steps + trials
        improved = True
        while improved and self.steps < end:
            improved = False
            for change, held in moves(standing, self._grounds.most_tasks):
                # What was tried is not tried again before one of its windows has changed.
                key = (*change, *(held.items() if held else ()))
                stamp = tuple(day.versions[window] for window, _ in change)
                if tried.get(key) == stamp:
                    continue
                tried[key] = stamp
                self.steps += 1
                trial = day.try_change(change, held)
                if trial is not None and trial.gain > 0 and day.take(trial):
                    standing.update()
                    improved = True
                if self.steps >= end:
                    break

    def improve(self, laid: Laid, trials: int) -> None:
        """Improve a day as long as some change gains, at most so many trials; keep it if it is the best."""
        day = self._day
        day.begin(laid)
        self._climb(trials)
        if day.worth() > self.worth:
            self.worth = day.worth()
            self.laid = day.laid()

    def put_in_order(self, orders: Sequence[BodyOrder]) -> None:
        """Exchange windows of the best day where both hold the other's visits, for what is to come early.

        Parameters
        ----------
        orders
            Of each task by index, the order that the body wants.
        """
        day = self._day
        day.begin(self.laid)
        for one, other in combinations(range(len(day.windows)), 2):
            if day.members[one] and day.members[other]:
                first, later = (min(orders[index] for index in day.members[each]) for each in (one, other))
                if later < first:
                    day.take(day.exchanged(one, other))
        self.laid = day.laid()

    def warm_each_window(self) -> None:
        """Let what prepares visit each window of the best day that would begin with strain, where it costs little.

        Hands and lips cool down between windows. Common practice, no source.
        """
        day = self._day
        day.begin(self.laid)
        may_cost = _WARMTH_SHARE * day.worth()
        for window in range(len(day.windows)):
            strains = {self._tasks[index].item.strains for index in day.members[window]}
            if strains != {True}:
                continue  # nothing strains, or something easy comes before it
            trials = [
                trial
                for move in warming(day, window)
                if (trial := day.try_change(*move)) is not None and self._warms_briefly(trial, window)
            ]
            self.steps += len(trials)
            for trial in sorted(trials, key=lambda trial: -trial.gain):
                if -trial.gain <= may_cost and day.take(trial):
                    may_cost += trial.gain
                    break
        self.laid = day.laid()
        self.worth = day.worth()

    def _warms_briefly(self, trial: Trial, window: int) -> bool:
        return all(
            visit_seconds(self._tasks[index], window, units) <= WARMTH_SECONDS
            for index, units in trial.units.items()
            if window in units and self._tasks[index].item.prepares
        )

    def _fill_all(self) -> None:
        day = self._day
        for window, members in enumerate(day.members):
            if members:
                trial = day.try_change([(window, members)])
                if trial is not None and trial.gain >= 0:
                    day.take(trial)

    def _ways(self, kept: list[int]) -> Iterator[Laid]:
        tasks = [self._tasks[index] for index in kept]
        price = price_of_set(tasks, self._grounds.problem.capacity_seconds)
        doses = {task.index: task.dose_at(price) for task in tasks}
        prepare = self._grounds.problem.duties.prepare
        for order in _orders(tasks, doses, prepare=prepare):
            laid = self._lay_at_rising_price(order, price)
            if laid is not None:
                yield laid
        floors = {task.index: task.low for task in tasks}
        for order in _rigid_orders(tasks):
            for wanted in (doses, floors):
                packed = pack(order, wanted, self._grounds)
                if packed is not None:
                    yield packed

    def _lay_at_rising_price(self, order: Sequence[VisitTask], price: float) -> Laid | None:
        """Lay the doses of the price, or of a little more of it; at last the floors."""
        for factor in _PRICE_STEPS:
            laid = lay_out(((task, task.dose_at(price * factor)) for task in order), self._grounds.windows)
            if laid is not None:
                return laid
        return lay_out(((task, task.low) for task in order), self._grounds.windows)


def _orders(tasks: Sequence[VisitTask], doses: dict[int, int], *, prepare: bool) -> Iterator[list[VisitTask]]:
    """The body's order, and others; what prepares comes first where something strains."""
    length = {task.index: task.ends[doses[task.index]] for task in tasks}
    yield _prepared(sorted(tasks, key=lambda task: (task.rank, -length[task.index])), length, prepare=prepare)
    yield _prepared(sorted(tasks, key=lambda task: -length[task.index]), length, prepare=prepare)
    yield _prepared(sorted(tasks, key=lambda task: length[task.index]), length, prepare=prepare)


def _prepared(order: list[VisitTask], length: dict[int, int], *, prepare: bool) -> list[VisitTask]:
    opening = opening_of(order, lambda task: length[task.index]) if prepare else None
    return opened_by(opening, order)


def _rigid_orders(tasks: Sequence[VisitTask]) -> Iterable[list[VisitTask]]:
    """What is hard to place first: by the longest unit, and by the floor."""
    yield sorted(
        tasks, key=lambda task: (-max(task.visit_seconds, *task.item.unit_seconds), -task.ends[task.low])
    )
    yield sorted(tasks, key=lambda task: -task.ends[task.low])
