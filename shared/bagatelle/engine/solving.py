"""Solving the day: one window exactly, several as well as the search finds."""

from msgspec import Struct
from msgspec.structs import replace

from bagatelle.engine.alternatives import ALTERNATIVE_STEPS, OtherPlan, Solve
from bagatelle.engine.budget import Budget
from bagatelle.engine.doses import scale_of
from bagatelle.engine.layout import Visit
from bagatelle.engine.one_window import WindowSolved, WindowSolver
from bagatelle.engine.problem import Optimum, Problem
from bagatelle.engine.search import STEP_LIMIT, best_plan
from bagatelle.engine.terms import Terms, relaxed_terms, settle_terms
from bagatelle.engine.windows import OrderOf, SeveralWindows, WindowsPlan, arranged_visits
from bagatelle.model.plan import Certificate
from bagatelle.model.vocabulary import FLOOR_MODES


class Solution(Struct, frozen=True, kw_only=True):
    """The day's plan in numbers."""

    terms: Terms
    doses: dict[str, int]
    visits: tuple[Visit, ...]
    certificate: Certificate
    solve_again: Solve


def solve_day(solver: WindowSolver, budget: Budget, order_of: OrderOf) -> Solution | None:
    """Find the plan; None where not even one unit of anything fits."""
    if len(budget.windows) == 1:
        solved = solver.solve(budget.seconds, step_limit=STEP_LIMIT)
        return _one_window(solved, order_of) if solved is not None else None
    windows = [window.playing_seconds for window in budget.windows]
    longest = min(max(windows), budget.capacity_seconds)
    terms = settle_terms(solver.routine, budget.seconds, budget.capacity_seconds, longest)
    if terms is None:
        return None
    for relaxed in relaxed_terms(terms):
        for mode in FLOOR_MODES[FLOOR_MODES.index(relaxed.problem.floor_mode) :]:
            lowered = replace(relaxed, problem=replace(relaxed.problem, floor_mode=mode))
            solution = _several_windows(lowered, windows, order_of)
            if solution is not None:
                visits = arranged_visits(
                    lowered.problem, windows, order_of, solution.visits, lowered.own_warm_up
                )
                return replace(solution, visits=visits)
    return _longest_window(solver, budget, windows, order_of)


def _one_window(solved: WindowSolved, order_of: OrderOf) -> Solution:
    problem, search, optimum = solved.terms.problem, solved.search, solved.optimum

    def again(task_limit: int | None, forbidden_set: frozenset[str] | None) -> OtherPlan | None:
        return _in_short(
            search.best(step_limit=ALTERNATIVE_STEPS, task_limit=task_limit, forbidden_set=forbidden_set)
        )

    return Solution(
        terms=solved.terms,
        doses=optimum.doses,
        visits=_single_visits(problem, optimum.doses, order_of),
        certificate=certificate(optimum.worth, optimum.bound, optimum.steps),
        solve_again=again,
    )


def _several_windows(terms: Terms, windows: list[int], order_of: OrderOf) -> Solution | None:
    solver = SeveralWindows(terms.problem, windows, order_of)
    plan = solver.best()
    if plan is None:
        return None

    def again(task_limit: int | None, forbidden_set: frozenset[str] | None) -> OtherPlan | None:
        return _in_short(solver.other(task_limit, forbidden_set))

    return Solution(
        terms=terms,
        doses=plan.doses,
        visits=plan.visits,
        certificate=certificate(plan.worth, plan.bound, plan.steps),
        solve_again=again,
    )


def _longest_window(
    solver: WindowSolver, budget: Budget, windows: list[int], order_of: OrderOf
) -> Solution | None:
    """A plan in the longest window alone, for windows that were found to hold none in what they hold together."""
    longest = min(max(windows), budget.capacity_seconds)
    solved = solver.solve(budget.seconds, step_limit=STEP_LIMIT, capacity_seconds=longest)
    if solved is None:
        return None
    solution = _one_window(solved, order_of)
    together = best_plan(replace(solved.terms.problem, capacity_seconds=budget.capacity_seconds))
    if together is None:
        raise AssertionError("a plan of one window is one of all windows too")
    worth = solution.certificate.worth
    steps = solution.certificate.search_steps + together.steps
    place = windows.index(max(windows))
    return replace(
        solution,
        visits=tuple(replace(visit, window=place) for visit in solution.visits),
        certificate=certificate(worth, max(together.bound, worth), steps),
    )


def _in_short(found: Optimum | WindowsPlan | None) -> OtherPlan | None:
    return OtherPlan(worth=found.worth, doses=found.doses, bound=found.bound) if found is not None else None


def certificate(worth: int, bound: int, steps: int) -> Certificate:
    """Worth and bound with the gap between them; proved where there is none."""
    gap = round((bound - worth) / bound, 6) if bound > 0 else 0.0
    return Certificate(worth=worth, bound=bound, gap=gap, proved=worth == bound, search_steps=steps)


def _single_visits(problem: Problem, doses: dict[str, int], order_of: OrderOf) -> tuple[Visit, ...]:
    items = {item.id: item for item in problem.items}
    return tuple(
        Visit(
            window=0,
            task=task,
            first_unit=0,
            units=doses[task],
            seconds=scale_of(items[task]).seconds(doses[task]),
            set_up_seconds=items[task].set_up_seconds,
        )
        for task in sorted(doses, key=order_of)
    )
