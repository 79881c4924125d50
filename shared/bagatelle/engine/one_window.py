"""One window of any length, solved on the best terms that it allows."""

from collections.abc import Mapping
from typing import NamedTuple

from bagatelle.engine.budget import playing_seconds_of
from bagatelle.engine.candidates import Curve, curves_of
from bagatelle.engine.pricing import priced_doses
from bagatelle.engine.problem import Optimum
from bagatelle.engine.search import PlanSearch
from bagatelle.engine.terms import Routine, Terms, Wishes, settle_terms


class WindowSolved(NamedTuple):
    """The best plan of one window; the search can be run again for other plans."""

    terms: Terms
    search: PlanSearch
    optimum: Optimum


class WindowSolver:
    """Solves windows of any length for one routine; what no length changes is computed once."""

    def __init__(self, routine: Routine) -> None:
        self.routine = routine
        items = (*routine.items, *((routine.stand_in,) if routine.stand_in is not None else ()))
        self.items = {item.id: item for item in items}
        self.curves: Mapping[str, Curve] = curves_of(items, routine.policy.curve)
        self.wishes = Wishes(routine)
        self._log_price: float | None = None
        self._solved: dict[tuple[int, int], tuple[int, WindowSolved | None]] = {}
        """Budget and capacity -> the step limit of the search, and what it found."""

    def solve(
        self, budget_seconds: int, *, step_limit: int, capacity_seconds: int | None = None
    ) -> WindowSolved | None:
        """The best plan, or None where nothing fits at all.

        The capacity is the playing time of the budget in one window, where no other is given.

        On the usual terms first: only where no plan is legal on them is it asked what has to give way. What was
        proved before, or searched for as long, is not searched for again.
        """
        capacity = capacity_seconds or playing_seconds_of(budget_seconds, self.routine.policy)
        window = (budget_seconds, capacity)
        steps, solved = self._solved.get(window, (0, None))
        if steps < step_limit and not (solved is not None and solved.optimum.proved):
            solved = self._solve(budget_seconds, capacity, step_limit)
            self._solved[window] = (step_limit, solved)
        return solved

    def _solve(self, budget_seconds: int, capacity: int, step_limit: int) -> WindowSolved | None:
        solved = self._on(self.wishes.terms(budget_seconds, capacity), step_limit)
        if solved is None:
            terms = settle_terms(self.routine, budget_seconds, capacity, capacity)
            solved = self._on(terms, step_limit) if terms is not None else None
        return solved

    def _on(self, terms: Terms, step_limit: int) -> WindowSolved | None:
        search = PlanSearch(terms.problem, self.curves, self._log_price)
        self._log_price = search.log_price
        optimum = search.best(step_limit=step_limit)
        return WindowSolved(terms=terms, search=search, optimum=optimum) if optimum is not None else None

    def priced_doses(self, budget_seconds: int) -> Mapping[str, int]:
        """Task -> units, as `priced_doses` of `pricing`."""
        capacity = playing_seconds_of(budget_seconds, self.routine.policy)
        return priced_doses(self.wishes.terms(budget_seconds, capacity).problem, self.curves, self._log_price)
