"""The ladder: the whole routine in one order that serves every length of day.

Plans are prepared for a few budgets. The rungs lift tasks from one prepared plan to the next, and beyond the half
to the whole routine. A day with b minutes takes the largest prepared plan within b and walks on: a rung that does
not fit is shortened by whole units, not below the floor, else skipped; nothing skipped is tried again.
"""

import math
from collections.abc import Iterable, Mapping, Sequence
from typing import Final

from msgspec import Struct

from bagatelle.engine.budget import default_budget_seconds, playing_seconds_of
from bagatelle.engine.pricing import priced_doses
from bagatelle.engine.problem import DoseScale, Item, floor_units, scale_of, worth_of
from bagatelle.engine.search import Optimum, best_plan
from bagatelle.engine.terms import Routine, Terms, settle_terms, task_limit
from bagatelle.model.plan import Dose, Ladder, LadderMinute, PreparedPlan, Rung
from bagatelle.model.vocabulary import FloorMode

LEAST_MINUTES: Final = 5
MOST_MINUTES_MEASURED: Final = 240
MOST_TASKS_MEASURED: Final = 4800
"""Minutes times tasks."""
_PREPARED_STEPS: Final = 20_000
_MEASURE_STEPS: Final = 4_000
_BEYOND: Final = (5 / 8, 3 / 4, 7 / 8)
"""Shares of the usual time, over a half, that shape the order of the upper rungs."""


class Prepared(Struct, frozen=True, kw_only=True):
    """A plan prepared for one budget, in units."""

    budget_seconds: int
    floor_mode: FloorMode
    optimum: Optimum


class Walk(Struct, frozen=True, kw_only=True):
    """The ladder walked for one budget."""

    seconds: dict[str, int]
    """Task id -> playing seconds."""
    worth: int
    units: dict[str, int]


class LadderWalker:
    """Walks one ladder; holds what every walk needs."""

    def __init__(self, routine: Routine, prepared: Sequence[Prepared], rungs: Sequence[Rung]) -> None:
        self._routine = routine
        self._prepared = prepared
        self._rungs = rungs
        items = (*routine.items, *((routine.stand_in,) if routine.stand_in else ()))
        self._items = {item.id: item for item in items}
        self._scales = {item.id: scale_of(item) for item in items}
        self._anything_prepares = any(item.prepares for item in items)

    def walk(self, budget_seconds: int) -> Walk:
        """What a day of so many seconds, in one window, gets."""
        start = max(
            (plan for plan in self._prepared if plan.budget_seconds <= budget_seconds),
            key=lambda plan: plan.budget_seconds,
            default=None,
        )
        units = dict(start.optimum.doses) if start else {}
        mode: FloorMode = start.floor_mode if start else "usual"
        limit = task_limit(budget_seconds, self._routine.policy)
        left = playing_seconds_of(budget_seconds, self._routine.policy) - sum(
            self._items[task].set_up_seconds + self._scales[task].seconds(number)
            for task, number in units.items()
        )
        for rung in self._rungs:
            left -= self._climb(rung, units, left, budget_seconds, mode, limit)
        seconds = {task: self._scales[task].seconds(number) for task, number in units.items()}
        worth = sum(
            worth_of(self._items[task], played, self._routine.policy.curve)
            for task, played in seconds.items()
        )
        return Walk(seconds=seconds, worth=worth, units=units)

    def _climb(
        self, rung: Rung, units: dict[str, int], left: int, budget: int, mode: FloorMode, limit: int
    ) -> int:
        """Take a rung as far as it goes; the seconds that it cost."""
        item, scale = self._items[rung.task], self._scales[rung.task]
        before = units.get(rung.task, 0)
        have = scale.seconds(before)
        if rung.to_seconds <= have:
            return 0
        set_up = item.set_up_seconds if before == 0 else 0
        after = scale.units_within(min(rung.to_seconds, have + left - set_up))
        if after <= before:
            return 0
        if before == 0 and not self._may_enter(item, after, units, budget, mode, limit):
            return 0
        units[rung.task] = after
        return scale.seconds(after) - have + set_up

    def _may_enter(
        self, item: Item, after: int, units: Mapping[str, int], budget: int, mode: FloorMode, limit: int
    ) -> bool:
        if len(units) >= limit or after < floor_units(item, self._scales[item.id], budget, mode):
            return False
        unprepared = item.strains and not any(self._items[task].prepares for task in units)
        return not (unprepared and self._anything_prepares)


def build_ladder(routine: Routine, usual_seconds: int, *, measured: bool) -> Ladder:
    """Prepare the plans, order the rungs, and, if asked, compare each whole minute with the optimum."""
    prepared = list(_prepare(routine, usual_seconds))
    rungs = _rungs(routine, usual_seconds, prepared)
    minutes: tuple[LadderMinute, ...] = ()
    if measured:
        minutes = tuple(_measure(routine, usual_seconds, LadderWalker(routine, prepared, rungs)))
    # A walk keeps what a shorter day began, below the floors of its own budget too, so it may come out above.
    ratios = [min(minute.worth / minute.best, 1.0) for minute in minutes if minute.best > 0]
    return Ladder(
        prepared=tuple(_shown(plan, routine) for plan in prepared),
        rungs=rungs,
        minutes=minutes,
        lowest_ratio=math.floor(min(ratios) * 10_000) / 10_000 if ratios else None,
        mean_ratio=round(sum(ratios) / len(ratios), 4) if ratios else None,
    )


def terms_of_one_window(routine: Routine, budget_seconds: int) -> Terms | None:
    """The terms of one window of so many seconds."""
    capacity = playing_seconds_of(budget_seconds, routine.policy)
    return settle_terms(routine, budget_seconds, capacity, capacity)


def _prepared_budgets(routine: Routine, usual_seconds: int) -> list[int]:
    policy = routine.policy
    half = int(usual_seconds * policy.largest_share)
    wanted = {
        *policy.prepared_budgets_seconds,
        default_budget_seconds(usual_seconds, policy),
        int(usual_seconds * (policy.share + policy.largest_share) / 2),
        half,
    }
    return sorted(budget for budget in wanted if 0 < budget <= max(half, policy.least_budget_seconds))


def _prepare(routine: Routine, usual_seconds: int) -> Iterable[Prepared]:
    for budget in _prepared_budgets(routine, usual_seconds):
        terms = terms_of_one_window(routine, budget)
        optimum = best_plan(terms.problem, step_limit=_PREPARED_STEPS) if terms else None
        if terms is not None and optimum is not None:
            yield Prepared(budget_seconds=budget, floor_mode=terms.problem.floor_mode, optimum=optimum)


def _rungs(routine: Routine, usual_seconds: int, prepared: Sequence[Prepared]) -> tuple[Rung, ...]:
    """Lifts from each target to the next: prepared plans, optima beyond the half, the whole routine."""
    items = {item.id: item for item in routine.items}
    if routine.stand_in is not None:
        items[routine.stand_in.id] = routine.stand_in
    scales = {task: scale_of(item) for task, item in items.items()}
    reached: dict[str, int] = {}
    rungs: list[Rung] = []
    for target in _targets(routine, usual_seconds, prepared, scales):
        lifts = [
            (task, seconds, _cost(items[task], reached.get(task, 0), seconds))
            for task, seconds in target.items()
            if seconds > reached.get(task, 0)
        ]
        lifts.sort(key=lambda lift: _lift_order(items[lift[0]], reached, lift, routine.policy.curve))
        for task, seconds, cost in lifts:
            rungs.append(Rung(task=task, to_seconds=seconds, cost_seconds=cost))
            reached[task] = seconds
    return tuple(rungs)


def _targets(
    routine: Routine, usual_seconds: int, prepared: Sequence[Prepared], scales: Mapping[str, DoseScale]
) -> Iterable[dict[str, int]]:
    for plan in prepared:
        yield {task: scales[task].seconds(units) for task, units in plan.optimum.doses.items()}
    for share in _BEYOND:
        terms = terms_of_one_window(routine, int(usual_seconds * share))
        if terms is not None:
            doses = priced_doses(terms.problem)
            yield {task: scales[task].seconds(units) for task, units in doses.items()}
    yield {item.id: scales[item.id].seconds(scales[item.id].largest_units) for item in routine.items}


def _lift_order(
    item: Item, reached: Mapping[str, int], lift: tuple[str, int, int], curve: float
) -> tuple[bool, float, str]:
    """What prepares comes first, then the most worth for a second."""
    task, seconds, cost = lift
    gain = worth_of(item, seconds, curve) - worth_of(item, reached.get(task, 0), curve)
    return (not item.prepares, -gain / cost, task)


def _cost(item: Item, before: int, after: int) -> int:
    return after - before + (item.set_up_seconds if before == 0 else 0)


def _measure(routine: Routine, usual_seconds: int, walker: LadderWalker) -> Iterable[LadderMinute]:
    for minute in measured_minutes(usual_seconds, len(routine.items)):
        terms = terms_of_one_window(routine, 60 * minute)
        if terms is None:
            continue
        walk = walker.walk(60 * minute)
        optimum = best_plan(terms.problem, step_limit=_MEASURE_STEPS)
        if optimum is not None:
            yield LadderMinute(minutes=minute, worth=walk.worth, best=optimum.bound, proved=optimum.proved)


def measured_minutes(usual_seconds: int, tasks: int) -> list[int]:
    """Each whole minute from 5 to the whole; evenly spread ones where that would be too much work."""
    last = math.ceil(usual_seconds / 60)
    count = last - LEAST_MINUTES + 1
    most = min(MOST_MINUTES_MEASURED, MOST_TASKS_MEASURED // tasks)
    if count <= most:
        return list(range(LEAST_MINUTES, last + 1))
    return sorted({LEAST_MINUTES + round(number * (count - 1) / (most - 1)) for number in range(most)})


def _shown(plan: Prepared, routine: Routine) -> PreparedPlan:
    items = {item.id: item for item in routine.items}
    if routine.stand_in is not None:
        items[routine.stand_in.id] = routine.stand_in
    return PreparedPlan(
        budget_seconds=plan.budget_seconds,
        worth=plan.optimum.worth,
        proved=plan.optimum.proved,
        floor_mode=plan.floor_mode,
        doses=doses_shown(plan.optimum.doses, items),
    )


def doses_shown(doses: Mapping[str, int], items: Mapping[str, Item]) -> tuple[Dose, ...]:
    """Doses in seconds, in ascending order of id."""
    return tuple(
        Dose(task=task, seconds=scale_of(items[task]).seconds(units)) for task, units in sorted(doses.items())
    )
