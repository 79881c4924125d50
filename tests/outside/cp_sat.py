"""The one-window problem for CP-SAT (OR-Tools).

One boolean for each option of an item, one that says whether the item is kept; exactly one of an item's options
or 'not kept'. Everything is an integer, so the optimum is exact.

Variants measured against each other on 40 ordinary and 20 hard problems, one worker, milliseconds of solving,
median and mean of the ordinary ones (2 cores, OR-Tools 9.15):

- this one: 3.0 and 5.2
- all cuts left on: 3.8 and 8.1; no cuts at all: 3.3 and 6.6
- no boolean for 'kept', at most one option an item: 3.6 and 9.0 with linear rules, 4.3 and 9.9 with clauses
- the linear relaxation at its usual level 1: 7.6 and 15.7; at level 0 one problem took minutes
- presolve left on: 8 to 9 and 12 to 15; one round of it without probing and symmetries: 5.7 and 11.1
- two workers: 12.7 and 20
- branching by the relaxation or by pseudo-costs: 5.1 and 9.4, 3.9 and 7.4
"""

from bagatelle.engine.problem import Problem
from ortools.sat.python import cp_model

from tests.outside.options import Option, options_of


class Model:
    """A built model, ready to be solved once."""

    def __init__(
        self,
        problem: Problem,
        *,
        forbidden_set: frozenset[str] | None = None,
        task_limit: int | None = None,
        as_it_comes: bool = False,
    ) -> None:
        """Build; `as_it_comes` leaves every setting but the number of workers as the library has it."""
        self._as_it_comes = as_it_comes
        self._model = cp_model.CpModel()
        self._kept = {item.id: self._model.new_bool_var(item.id) for item in problem.items}
        self._booleans: list[cp_model.IntVar] = []
        self._options: list[tuple[str, Option]] = []
        for item in problem.items:
            self._add_options(item.id, options_of(problem, item))
        self._add_sums(problem, task_limit)
        self._add_duties(problem)
        if forbidden_set is not None and forbidden_set <= set(self._kept):
            self._model.add_bool_or(
                [~kept if name in forbidden_set else kept for name, kept in self._kept.items()]
            )

    def _add_options(self, name: str, options: list[Option]) -> None:
        booleans = [self._model.new_bool_var(f"{name} {option.units}") for option in options]
        self._model.add_exactly_one([*booleans, ~self._kept[name]])
        self._booleans += booleans
        self._options += [(name, option) for option in options]

    def _add_sums(self, problem: Problem, task_limit: int | None) -> None:
        options = [option for _, option in self._options]
        weighted_sum = cp_model.LinearExpr.weighted_sum
        costs = weighted_sum(self._booleans, [option.cost_seconds for option in options])
        worths = weighted_sum(self._booleans, [option.worth for option in options])
        kept = list(self._kept.values())
        limit = (
            problem.duties.task_limit if task_limit is None else min(task_limit, problem.duties.task_limit)
        )
        self._model.add(costs <= problem.capacity_seconds)
        # One that prepares comes on top.
        others = [self._kept[item.id] for item in problem.items if not item.prepares]
        self._model.add(cp_model.LinearExpr.sum(others) <= limit)
        self._model.add(cp_model.LinearExpr.sum(kept) <= limit + 1)
        self._model.add_bool_or(kept)
        self._model.maximize(worths)

    def _add_duties(self, problem: Problem) -> None:
        for item in problem.items:
            if item.must:
                self._model.add_bool_and([self._kept[item.id]])
        if problem.duties.music:
            self._model.add_bool_or([self._kept[item.id] for item in problem.items if item.music])
        if problem.duties.more:
            self._model.add_bool_or([self._kept[item.id] for item in problem.items if not item.warm_up])
        if problem.duties.prepare:
            preparing = [self._kept[item.id] for item in problem.items if item.prepares]
            for item in problem.items:
                if item.strains:
                    self._model.add_bool_or([*preparing, ~self._kept[item.id]])

    def solve(self) -> dict[str, int] | None:
        """Units by task of a best plan; None where no plan is legal.

        Raises
        ------
        RuntimeError
            CP-SAT ended without a proof.
        """
        solver = cp_model.CpSolver()
        _set_up(solver, as_it_comes=self._as_it_comes)
        status = solver.solve(self._model)
        if status == cp_model.INFEASIBLE:
            return None
        if status != cp_model.OPTIMAL:
            raise RuntimeError(f"CP-SAT ended as {solver.status_name(status)}")
        chosen = zip(self._booleans, self._options, strict=True)
        return {name: option.units for boolean, (name, option) in chosen if solver.boolean_value(boolean)}

    def enclose(self, deterministic_seconds: float) -> tuple[int, int]:
        """Worth of the best plan found, and a bound of all, after so much of CP-SAT's own count of work.

        Raises
        ------
        RuntimeError
            CP-SAT found no plan.
        """
        solver = cp_model.CpSolver()
        _set_up(solver, as_it_comes=self._as_it_comes)
        solver.parameters.max_deterministic_time = deterministic_seconds
        status = solver.solve(self._model)
        if status not in {cp_model.OPTIMAL, cp_model.FEASIBLE}:
            raise RuntimeError(f"CP-SAT ended as {solver.status_name(status)}")
        return round(solver.objective_value), round(solver.best_objective_bound)


def _set_up(solver: cp_model.CpSolver, *, as_it_comes: bool) -> None:
    parameters = solver.parameters
    parameters.num_workers = 1
    if as_it_comes:
        return
    parameters.cp_model_presolve = False
    parameters.linearization_level = 2
    parameters.add_mir_cuts = False
    parameters.add_cg_cuts = False
    parameters.add_clique_cuts = False
    parameters.add_zero_half_cuts = False
