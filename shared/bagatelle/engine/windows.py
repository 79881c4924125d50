"""Several windows: a sound plan, and an honest bound.

The one-window optimum of all playing time together bounds every plan (its tasks pay one set-up each and are never
cut by a window's edge). Its doses are laid into the windows; where they do not go in, the optimum of a little
less time is tried. What is laid then grows by single units and by further tasks while it still can be laid.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Final, TypeAlias

from msgspec import Struct
from msgspec.structs import replace

from bagatelle.engine.layout import Piece, Visit, lay_out, seconds_of_visits
from bagatelle.engine.problem import Item, Problem, floor_units, scale_of, worth_of
from bagatelle.engine.search import STEP_LIMIT, best_plan

_SHRINKINGS: Final = 24
_SHRINK_SECONDS: Final = 15

BodyOrder: TypeAlias = tuple[int, bool, bool, int, str]
OrderOf: TypeAlias = Callable[[str], BodyOrder]
"""Task id -> its place in the order that the body wants: lower strain first."""


class WindowsPlan(Struct, frozen=True, kw_only=True):
    """Doses with their visits, and how good a plan could be at most."""

    doses: dict[str, int]
    visits: tuple[Visit, ...]
    worth: int
    bound: int
    steps: int
    proved: bool


class Layer:
    """Lays doses of one problem into its windows, and grows them."""

    def __init__(self, problem: Problem, windows: Sequence[int], order_of: OrderOf) -> None:
        self._problem = problem
        self._windows = windows
        self._order_of = order_of
        self._items = {item.id: item for item in problem.items}
        self._scales = {item.id: scale_of(item) for item in problem.items}
        self._floors = {
            item.id: floor_units(item, self._scales[item.id], problem.budget_seconds, problem.floor_mode)
            for item in problem.items
        }

    def worth(self, doses: Mapping[str, int]) -> int:
        """Worth of doses."""
        return sum(
            worth_of(self._items[task], self._scales[task].seconds(units), self._problem.curve)
            for task, units in doses.items()
        )

    def lay(self, doses: Mapping[str, int]) -> tuple[Visit, ...] | None:
        """The visits, in whichever of a few orders goes in; None where none does."""
        for order in self._orders(doses):
            visits = lay_out([self._piece(task, doses[task]) for task in order], self._windows)
            if visits is not None and seconds_of_visits(visits) <= self._problem.capacity_seconds:
                return visits
        return None

    def grow(
        self, doses: Mapping[str, int], task_limit: int, refused: Iterable[frozenset[str]]
    ) -> dict[str, int]:
        """Add units and tasks, the most worth for a second first, while they can be laid."""
        grown = dict(doses)
        sets = set(refused)
        blocked: set[tuple[str, int]] = set()
        while True:
            step = next(
                (
                    (task, units)
                    for task, units in self._growths(grown, task_limit, sets)
                    if (task, units) not in blocked and self._can(grown, task, units, blocked)
                ),
                None,
            )
            if step is None:
                return grown
            grown[step[0]] = step[1]

    def _can(self, grown: Mapping[str, int], task: str, units: int, blocked: set[tuple[str, int]]) -> bool:
        if self.lay({**grown, task: units}) is not None:
            return True
        blocked.add((task, units))
        return False

    def _growths(
        self, doses: Mapping[str, int], task_limit: int, refused: set[frozenset[str]]
    ) -> list[tuple[str, int]]:
        """(task, its units afterwards), the most worth for a second first."""
        prepared = any(self._items[task].prepares for task in doses)
        growths = []
        for item in self._problem.items:
            units = doses.get(item.id, 0)
            if units == 0:
                if not self._may_enter(item, doses, task_limit, prepared=prepared, refused=refused):
                    continue
                after = self._floors[item.id]
            elif units < self._scales[item.id].largest_units:
                after = units + 1
            else:
                continue
            growths.append((-self._density(item, units, after), item.id, after))
        return [(task, after) for _, task, after in sorted(growths)]

    def _may_enter(
        self,
        item: Item,
        doses: Mapping[str, int],
        task_limit: int,
        *,
        prepared: bool,
        refused: set[frozenset[str]],
    ) -> bool:
        unprepared = self._problem.duties.prepare and item.strains and not prepared
        new_set = frozenset(doses) | {item.id}
        return len(doses) < task_limit and not unprepared and not item.stand_in and new_set not in refused

    def _density(self, item: Item, units: int, after: int) -> float:
        scale = self._scales[item.id]
        before = worth_of(item, scale.seconds(units), self._problem.curve)
        gain = worth_of(item, scale.seconds(after), self._problem.curve) - before
        cost = scale.seconds(after) - scale.seconds(units) + (item.set_up_seconds if units == 0 else 0)
        return gain / cost

    def _orders(self, doses: Mapping[str, int]) -> Iterable[list[str]]:
        """The body's order; and, among tasks alike to the body, the long or the short ones first."""
        yield sorted(doses, key=self._order_of)
        for sign in (-1, 1):
            yield sorted(
                doses,
                key=lambda task: (
                    self._order_of(task)[0],
                    sign * self._scales[task].seconds(doses[task]),
                    self._order_of(task),
                ),
            )

    def _piece(self, task: str, units: int) -> Piece:
        item, scale = self._items[task], self._scales[task]
        chunk = item.chunk_seconds if self._problem.floor_mode != "unit" else 0
        return Piece(
            item=item,
            scale=scale,
            units=units,
            visit_seconds=scale.seconds(scale.units_reaching(chunk)),
        )


def plan_windows(
    problem: Problem,
    windows: Sequence[int],
    order_of: OrderOf,
    *,
    task_limit: int | None = None,
    forbidden_set: frozenset[str] | None = None,
    step_limit: int = STEP_LIMIT,
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
    """
    layer = Layer(problem, windows, order_of)
    limit = min(problem.duties.task_limit, task_limit or problem.duties.task_limit)
    relaxed = replace(problem, items=tuple(item for item in problem.items if _fits(item, problem, windows)))
    bound = steps = 0
    best: tuple[int, dict[str, int], tuple[Visit, ...]] | None = None
    for capacity in _capacities(problem):
        optimum = best_plan(
            replace(relaxed, capacity_seconds=capacity),
            task_limit=task_limit,
            forbidden_set=forbidden_set,
            step_limit=max((step_limit - steps) // 4, 1000),
        )
        if optimum is None:
            break
        steps += optimum.steps
        bound = bound or optimum.bound
        if best is not None and optimum.bound <= best[0]:
            break
        if layer.lay(optimum.doses) is None:
            continue
        grown = layer.grow(optimum.doses, limit, [forbidden_set] if forbidden_set else [])
        visits = layer.lay(grown)
        worth = layer.worth(grown)
        if visits is not None and (best is None or worth > best[0]):
            best = (worth, grown, visits)
    if best is None:
        return None
    worth, doses, visits = best
    return WindowsPlan(
        doses=dict(sorted(doses.items())),
        visits=visits,
        worth=worth,
        bound=max(bound, worth),
        steps=steps,
        proved=worth >= bound,
    )


def _capacities(problem: Problem) -> Iterable[int]:
    """The whole, then a little less each time."""
    capacity = problem.capacity_seconds
    shrink = max(capacity // (2 * _SHRINKINGS), _SHRINK_SECONDS)
    for number in range(_SHRINKINGS):
        less = capacity - number * shrink
        if less <= 0:
            return
        yield less


def _fits(item: Item, problem: Problem, windows: Sequence[int]) -> bool:
    """Whether at least a smallest visit of the task fits the longest window."""
    scale = scale_of(item)
    units = 1 if problem.floor_mode == "unit" else scale.units_reaching(item.chunk_seconds)
    return scale.seconds(units) + item.set_up_seconds <= max(windows)
