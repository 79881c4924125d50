"""Several windows: a good plan, and a bound that no plan can pass.

The bound is the optimum of one window in which each task pays for the visits that it needs at least
(`window_bound`). The plan comes from a search over visits (`window_search`) that begins with the sets of tasks
that gain most. Where plan and bound meet, the plan is proved.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from itertools import islice
from typing import Final, TypeAlias

from msgspec import Struct
from msgspec.structs import replace

from bagatelle.engine.arranging import arranged
from bagatelle.engine.day_of_visits import RANKS, BodyOrder, Grounds
from bagatelle.engine.layout import Laid, Visit
from bagatelle.engine.problem import Item, Optimum, Problem
from bagatelle.engine.search import best_plan
from bagatelle.engine.visit_task import VisitTask, price_of_set
from bagatelle.engine.window_bound import VisitsKnown, relaxed_problem
from bagatelle.engine.window_search import WARMTH_SECONDS, WindowSearch
from bagatelle.engine.window_sets import promising_sets, smallest_sets

_BOUND_STEPS: Final = 20_000
_SETS: Final = 10
_TRIALS: Final = 800
_SEARCHES: Final = 3
_SECOND_THOUGHTS: Final = 8
_SECOND_THOUGHTS_STEPS: Final = 40_000
"""No further second thought begins where all searches of the day have taken so many steps."""

OrderOf: TypeAlias = Callable[[str], BodyOrder]
"""Task id -> its place in the order that the body wants: lower strain first."""


class WindowsPlan(Struct, frozen=True, kw_only=True):
    """Doses with their visits, and how good a plan could be at most."""

    doses: dict[str, int]
    visits: tuple[Visit, ...]
    worth: int
    bound: int
    steps: int

    @property
    def proved(self) -> bool:
        """Whether no plan is worth more."""
        return self.worth == self.bound


def plan_windows(
    problem: Problem,
    windows: Sequence[int],
    order_of: OrderOf,
    *,
    task_limit: int | None = None,
    forbidden_set: frozenset[str] | None = None,
    searches: int = _SEARCHES,
    known: VisitsKnown | None = None,
    warm: bool = False,
) -> WindowsPlan | None:
    """A legal plan in several windows with its bound; None where none was found.

    Parameters
    ----------
    problem
        Its capacity is the playing time of all windows, held to the budget.
    windows
        Playing seconds of each, in the order of the day.
    order_of
        The order that the body wants.
    task_limit, forbidden_set
        As for `best_plan`.
    searches
        How many starting points are improved.
    known
        What earlier searches of the same problem and windows found of visits; grows.
    warm
        Whether what prepares is to visit each window that would begin with strain, where it costs little. The
        bound does not see that.
    """
    limit = min(problem.duties.task_limit, task_limit or problem.duties.task_limit)
    tasks = tuple(
        VisitTask(index, item, problem, order_of(item.id)[0]) for index, item in enumerate(problem.items)
    )
    relaxed = relaxed_problem(problem, tasks, windows, {} if known is None else known)
    if relaxed is None:
        return None
    optimum = best_plan(relaxed, step_limit=_BOUND_STEPS, task_limit=task_limit, forbidden_set=forbidden_set)
    if optimum is None:
        return None
    indices = {task.item.id: task.index for task in tasks}
    forbidden = None
    if forbidden_set is not None and forbidden_set <= indices.keys():
        forbidden = frozenset(indices[name] for name in forbidden_set)
    grounds = Grounds(
        problem=problem, windows=tuple(windows), tasks=tasks, task_limit=limit, forbidden=forbidden
    )
    allowed = [tasks[indices[item.id]] for item in relaxed.items]
    search = _searched(grounds, allowed, optimum, searches)
    if search.worth < 0:
        return None
    search.put_in_order([order_of(item.id) for item in problem.items])
    if warm:
        search.warm_each_window()
    return WindowsPlan(
        doses=_doses(search.laid, tasks),
        visits=_visits(search.laid, tasks, order_of),
        worth=search.worth,
        bound=max(optimum.bound, search.worth),
        steps=optimum.steps + search.steps,
    )


def arranged_visits(
    problem: Problem, windows: Sequence[int], order_of: OrderOf, visits: Sequence[Visit], warm_up: str | None
) -> tuple[Visit, ...]:
    """The visits of a plan of these windows arranged for the body; its doses stay.

    Parameters
    ----------
    problem, windows, order_of
        As for `plan_windows`.
    visits
        In the order of the day.
    warm_up
        The id of the routine's own warm-up; None where none is asked for.
    """
    names = {visit.task for visit in visits}
    kept = [item for item in problem.items if item.id in names]
    tasks = tuple(VisitTask(index, item, problem, order_of(item.id)[0]) for index, item in enumerate(kept))
    grounds = Grounds(
        problem=problem,
        windows=tuple(windows),
        tasks=tasks,
        task_limit=problem.duties.task_limit,
        forbidden=None,
    )
    indices = {task.item.id: task.index for task in tasks}
    laid = [(visit.window, indices[visit.task], visit.units) for visit in visits]
    in_order = _visits(arranged(grounds, laid, warm_up), tasks, order_of)
    return _begun_easily(in_order, {item.id: item for item in kept}, order_of)


class SeveralWindows:
    """One problem of several windows, and the other plans that would do."""

    def __init__(self, problem: Problem, windows: Sequence[int], order_of: OrderOf) -> None:
        self._problem = problem
        self._windows = windows
        self._order_of = order_of
        self._known: VisitsKnown = {}
        self._steps = 0
        self._ended = False
        self._others: dict[tuple[int | None, frozenset[str] | None], WindowsPlan | None] = {}

    def best(self) -> WindowsPlan | None:
        """The plan; None where none was found.

        A search with fewer things, or for another set, may come by more than the first one did: then that is
        the plan, so that nothing better is offered beside it.
        """
        plan = self._searched(searches=_SEARCHES)
        for _ in range(_SECOND_THOUGHTS):
            if plan is None or self._steps > _SECOND_THOUGHTS_STEPS:
                break
            better = self._better(plan)
            if better is None:
                return plan
            plan = better
        self._ended = True
        return plan

    def _searched(
        self, task_limit: int | None = None, forbidden_set: frozenset[str] | None = None, *, searches: int
    ) -> WindowsPlan | None:
        plan = plan_windows(
            self._problem,
            self._windows,
            self._order_of,
            task_limit=task_limit,
            forbidden_set=forbidden_set,
            searches=searches,
            known=self._known,
            warm=True,
        )
        self._steps += plan.steps if plan is not None else 0
        return plan

    def _better(self, plan: WindowsPlan) -> WindowsPlan | None:
        others = [self.other(None, frozenset(plan.doses))]
        count = self._problem.things(plan.doses)
        if count > 1:
            others.append(self.other(count - 1, None))
        found = max((other for other in others if other is not None), key=lambda one: one.worth, default=plan)
        if found.worth <= plan.worth:
            return None
        return replace(found, bound=max(plan.bound, found.worth), steps=plan.steps + found.steps)

    def other(self, task_limit: int | None, forbidden_set: frozenset[str] | None) -> WindowsPlan | None:
        """The best plan found with a tighter limit or without one set of tasks, by a shorter search.

        Where second thoughts ended early, only what they came by: anything else might be better than the plan.
        """
        asked = (task_limit, forbidden_set)
        if self._ended:
            return self._others.get(asked)
        if asked not in self._others:
            self._others[asked] = self._searched(task_limit, forbidden_set, searches=1)
        return self._others[asked]


def _searched(
    grounds: Grounds, allowed: Sequence[VisitTask], optimum: Optimum, searches: int
) -> WindowSearch:
    """Lay the promising sets and improve the best of what comes of them, one of each set."""
    best = frozenset(task.index for task in allowed if task.item.id in optimum.doses)
    price = price_of_set([task for task in allowed if task.index in best], grounds.problem.capacity_seconds)
    for task in allowed:
        task.set_price(price)
    search = WindowSearch(grounds, allowed, price)
    sets = dict.fromkeys((best, *promising_sets(grounds, allowed, _SETS)))
    days = _best_days(search, sets) or _best_days(search, smallest_sets(grounds, allowed, _SETS))
    for _, laid in islice(days, searches):
        search.improve(laid, _TRIALS)
        if search.worth >= optimum.bound:
            break
    return search


def _best_days(search: WindowSearch, sets: Iterable[frozenset[int]]) -> list[tuple[int, Laid]]:
    """Worth and visits of the best day of each set that goes in, the best first."""
    days = [max(found) for kept in sets if (found := search.days_of(kept))]
    return sorted(days, key=lambda day: -day[0])


def _doses(laid: Laid, tasks: Sequence[VisitTask]) -> dict[str, int]:
    """Units of each task, in ascending order of id."""
    doses: dict[str, int] = {}
    for _, index, units in laid:
        name = tasks[index].item.id
        doses[name] = doses.get(name, 0) + units
    return dict(sorted(doses.items()))


def _visits(laid: Laid, tasks: Sequence[VisitTask], order_of: OrderOf) -> tuple[Visit, ...]:
    """The visits in the order of the day and, inside a window, of the body."""
    done: dict[int, int] = {}
    visits = []
    for window, index, units in sorted(laid, key=lambda one: (one[0], order_of(tasks[one[1]].item.id))):
        task = tasks[index]
        first = done.get(index, 0)
        visits.append(
            Visit(
                window=window,
                task=task.item.id,
                first_unit=first,
                units=units,
                seconds=task.ends[first + units] - task.ends[first],
                set_up_seconds=task.set_up,
            )
        )
        done[index] = first + units
    return tuple(visits)


def _begun_easily(visits: Sequence[Visit], items: Mapping[str, Item], order_of: OrderOf) -> tuple[Visit, ...]:
    """The same visits; where a window would begin with an easy piece, something as easy and short comes before it.

    Hands and lips cool down between windows. Common practice, no source.
    """
    first = {visit.window: visit.task for visit in reversed(visits)}

    def place(visit: Visit) -> tuple[int, bool]:
        opening = first[visit.window]
        rank, is_hard_to_begin, *_ = order_of(visit.task)
        is_short = visit.seconds <= WARMTH_SECONDS and not items[visit.task].music
        is_easy = rank == order_of(opening)[0] == RANKS["low"] and not is_hard_to_begin
        return visit.window, not (items[opening].music and is_easy and is_short)

    return tuple(sorted(visits, key=place))
