"""The ladder: the whole routine in one order that serves every length of day.

Plans are prepared for a few budgets. The rungs lift tasks from one prepared plan to the next, and beyond the half
to the whole routine. A day with b minutes takes the largest prepared plan within b and walks on: a rung that does
not fit is shortened by whole units, not below the floor, else skipped; nothing skipped is tried again. Of the b
minutes as much stays free as of a window of the day that the ladder is made for: nothing where it gives no time.
"""

import math
from collections.abc import Iterable, Mapping, Sequence
from operator import itemgetter
from typing import Final, NamedTuple

from bagatelle.engine.budget import default_budget_seconds, part_of
from bagatelle.engine.candidates import Curve
from bagatelle.engine.doses import floor_units, scale_of, worth_of
from bagatelle.engine.one_window import WindowSolver
from bagatelle.engine.problem import Item, Optimum, things
from bagatelle.engine.terms import Routine
from bagatelle.model.plan import Dose, Ladder, LadderMinute, PreparedPlan, Rung
from bagatelle.model.vocabulary import FloorMode

LEAST_MINUTES: Final = 5
MOST_MINUTES_MEASURED: Final = 240
MOST_TASKS_MEASURED: Final = 4800
"""Minutes times tasks."""
_PREPARED_STEPS: Final = 1_000
"""The best plan is found early; to prove it takes most of the steps, and no ladder needs the proof."""
_MEASURE_STEPS: Final = 4_000
_BEYOND: Final = 3 / 4
"""The share of the usual time, over a half, that shapes the order of the upper rungs."""
_MINUTE: Final = 60


class Prepared(NamedTuple):
    """A plan prepared for one budget, in units."""

    budget_seconds: int
    floor_mode: FloorMode
    optimum: Optimum


class Walk(NamedTuple):
    """The ladder walked for one budget."""

    seconds: dict[str, int]
    """Task id -> playing seconds."""
    worth: int
    units: dict[str, int]


class LadderWalker:
    """Walks one ladder; holds what every walk needs."""

    def __init__(self, solver: WindowSolver, prepared: Sequence[Prepared], rungs: Sequence[Rung]) -> None:
        self._policy = solver.routine.policy
        self._routine = solver.routine
        self._wishes = solver.wishes
        self._prepared = prepared
        self._rungs = rungs
        self._items = solver.items
        self._scales = {task: curve.scale for task, curve in solver.curves.items()}
        self._anything_prepares = any(item.prepares for item in solver.items.values())

    def walk(self, budget_seconds: int) -> Walk:
        """What a day of so many seconds, in one window, gets."""
        start = max(
            (plan for plan in self._prepared if plan.budget_seconds <= budget_seconds),
            key=lambda plan: plan.budget_seconds,
            default=None,
        )
        units = dict(start.optimum.doses) if start else {}
        mode: FloorMode = start.floor_mode if start else "usual"
        limit = self._wishes.things(budget_seconds)
        playing = self._routine.playing_seconds(budget_seconds)
        left = playing - sum(
            self._items[task].set_up_seconds + self._scales[task].seconds(number)
            for task, number in units.items()
        )
        for rung in self._rungs:
            left -= self._climb(rung, units, left, playing, mode, limit)
        seconds = {task: self._scales[task].seconds(number) for task, number in units.items()}
        worth = sum(
            worth_of(self._items[task], played, self._policy.curve) for task, played in seconds.items()
        )
        return Walk(seconds=seconds, worth=worth, units=units)

    def _climb(
        self, rung: Rung, units: dict[str, int], left: int, playing: int, mode: FloorMode, limit: int
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
        if before == 0 and not self._may_enter(item, after, units, playing, mode, limit):
            return 0
        units[rung.task] = after
        return scale.seconds(after) - have + set_up

    def _may_enter(
        self, item: Item, after: int, units: Mapping[str, int], playing: int, mode: FloorMode, limit: int
    ) -> bool:
        begun = [self._items[task] for task in units]
        if things([*begun, item]) > limit or after < floor_units(item, self._scales[item.id], playing, mode):
            return False
        unprepared = item.strains and not any(other.prepares for other in begun)
        return not (unprepared and self._anything_prepares)


def build_ladder(solver: WindowSolver, usual_seconds: int, *, measured: bool) -> Ladder:
    """Prepare the plans, order the rungs, and, if asked, compare each whole minute with the optimum."""
    prepared = prepared_plans(solver, usual_seconds)
    rungs = rungs_of(solver, usual_seconds, prepared)
    minutes: tuple[LadderMinute, ...] = ()
    if measured:
        minutes = tuple(_measure(solver, usual_seconds, LadderWalker(solver, prepared, rungs)))
    # A walk keeps what a shorter day began, below the floors of its own budget too, so it may come out above.
    ratios = [min(minute.worth / minute.best, 1.0) for minute in minutes if minute.best > 0]
    return Ladder(
        prepared=tuple(_shown(plan, solver) for plan in prepared),
        rungs=rungs,
        minutes=minutes,
        lowest_ratio=math.floor(min(ratios) * 10_000) / 10_000 if ratios else None,
        mean_ratio=round(math.fsum(ratios) / len(ratios), 4) if ratios else None,
    )


def _prepared_budgets(routine: Routine, usual_seconds: int) -> list[int]:
    policy = routine.policy
    half = part_of(usual_seconds, policy.largest_share)
    wanted = {*policy.prepared_budgets_seconds, default_budget_seconds(usual_seconds, policy), half}
    return sorted(budget for budget in wanted if 0 < budget <= max(half, policy.least_budget_seconds))


def prepared_plans(solver: WindowSolver, usual_seconds: int) -> list[Prepared]:
    """In ascending order: the budgets of the policy, and more between two where a walk would fall far behind."""
    return list(_prepare(solver, usual_seconds))


def _prepare(solver: WindowSolver, usual_seconds: int) -> Iterable[Prepared]:
    before: Prepared | None = None
    for budget in _prepared_budgets(solver.routine, usual_seconds):
        prepared = prepared_plan(solver, budget)
        if prepared is not None:
            if before is not None:
                yield from _between(solver, before, prepared)
            yield prepared
            before = prepared


def prepared_plan(solver: WindowSolver, budget: int) -> Prepared | None:
    """The plan for one budget; None where nothing fits it."""
    solved = solver.solve(budget, step_limit=_PREPARED_STEPS)
    if solved is None:
        return None
    mode = solved.terms.problem.floor_mode
    return Prepared(budget_seconds=budget, floor_mode=mode, optimum=solved.optimum)


def _between(solver: WindowSolver, low: Prepared, high: Prepared) -> Iterable[Prepared]:
    """The plan of the whole minute in the middle, and on to both sides, as long as the growth is not enough."""
    middle = _MINUTE * round((low.budget_seconds + high.budget_seconds) / (2 * _MINUTE))
    if not low.budget_seconds < middle < high.budget_seconds:
        return
    enough = high.optimum.worth / solver.routine.policy.prepared_growth
    capacity = solver.routine.playing_seconds(high.budget_seconds - _MINUTE)
    curves = [solver.curves[task] for task in low.optimum.doses]
    if grown_worth(curves, list(low.optimum.doses.values()), capacity, enough) >= enough:
        return
    prepared = prepared_plan(solver, middle)
    if prepared is not None:
        yield from _between(solver, low, prepared)
        yield prepared
        yield from _between(solver, prepared, high)


def grown_worth(curves: Sequence[Curve], units: list[int], capacity_seconds: int, enough: float) -> int:
    """What a plan is worth when its tasks have grown into a longer time, the best unit for its seconds first.

    No further than to what is `enough`. `units` are those of the plan and grow.
    """
    worth = sum(curve.worths[number] for curve, number in zip(curves, units, strict=True))
    left = capacity_seconds - sum(
        curve.item.set_up_seconds + curve.ends[number] for curve, number in zip(curves, units, strict=True)
    )
    while worth < enough:
        best, place = 0.0, -1
        for index, (curve, number) in enumerate(zip(curves, units, strict=True)):
            if number < curve.scale.largest_units:
                seconds = curve.ends[number + 1] - curve.ends[number]
                density = (curve.worths[number + 1] - curve.worths[number]) / seconds
                if seconds <= left and density > best:
                    best, place = density, index
        if place < 0:
            break
        curve, number = curves[place], units[place]
        left -= curve.ends[number + 1] - curve.ends[number]
        worth += curve.worths[number + 1] - curve.worths[number]
        units[place] += 1
    return worth


def rungs_of(solver: WindowSolver, usual_seconds: int, prepared: Sequence[Prepared]) -> tuple[Rung, ...]:
    """Lifts from each target to the next: prepared plans, one beyond the half, the whole routine.

    The stand-in has none: it is for those plans alone that were prepared with it.
    """
    reached: dict[str, int] = {}
    rungs: list[Rung] = []
    for target in _targets(solver, usual_seconds, prepared):
        lifts = []
        for task, units in target.items():
            before = reached.get(task, 0)
            if units > before and not solver.items[task].stand_in:
                lifts.append(lift_of(solver.curves[task], before, units))
                reached[task] = units
        rungs.extend(rung for _, rung in sorted(lifts, key=itemgetter(0)))
    return tuple(rungs)


def lift_of(curve: Curve, before: int, after: int) -> tuple[tuple[bool, float, str], Rung]:
    """A rung with its place among those of one target: what prepares first, then the most worth for a second."""
    item, seconds = curve.item, curve.ends[after]
    cost = seconds - curve.ends[before] + (item.set_up_seconds if before == 0 else 0)
    gain = curve.worths[after] - curve.worths[before]
    return (not item.prepares, -gain / cost, item.id), Rung(
        task=item.id, to_seconds=seconds, cost_seconds=cost
    )


def _targets(
    solver: WindowSolver, usual_seconds: int, prepared: Sequence[Prepared]
) -> Iterable[Mapping[str, int]]:
    """Task -> units, of one target after the other."""
    for plan in prepared:
        yield plan.optimum.doses
    yield solver.priced_doses(part_of(usual_seconds, _BEYOND))
    yield {item.id: solver.curves[item.id].scale.largest_units for item in solver.routine.items}


def _measure(solver: WindowSolver, usual_seconds: int, walker: LadderWalker) -> Iterable[LadderMinute]:
    for minute in measured_minutes(usual_seconds, len(solver.routine.items)):
        solved = solver.solve(60 * minute, step_limit=_MEASURE_STEPS)
        if solved is not None:
            walk, best = walker.walk(60 * minute), solved.optimum
            yield LadderMinute(minutes=minute, worth=walk.worth, best=best.bound, proved=best.proved)


def measured_minutes(usual_seconds: int, tasks: int) -> list[int]:
    """Each whole minute from 5 to the whole; evenly spread ones where that would be too much work."""
    last = math.ceil(usual_seconds / 60)
    count = last - LEAST_MINUTES + 1
    most = min(MOST_MINUTES_MEASURED, MOST_TASKS_MEASURED // tasks)
    if count <= most:
        return list(range(LEAST_MINUTES, last + 1))
    return sorted({LEAST_MINUTES + round(number * (count - 1) / (most - 1)) for number in range(most)})


def _shown(plan: Prepared, solver: WindowSolver) -> PreparedPlan:
    return PreparedPlan(
        budget_seconds=plan.budget_seconds,
        worth=plan.optimum.worth,
        proved=plan.optimum.proved,
        floor_mode=plan.floor_mode,
        doses=doses_shown(plan.optimum.doses, solver.items),
    )


def doses_shown(doses: Mapping[str, int], items: Mapping[str, Item]) -> tuple[Dose, ...]:
    """Doses in seconds, in ascending order of id."""
    return tuple(
        Dose(task=task, seconds=scale_of(items[task]).seconds(units)) for task, units in sorted(doses.items())
    )
