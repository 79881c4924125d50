"""The problem of several windows for CP-SAT (OR-Tools), written from the rules' wording.

After each window a task has done so many of its units in rotation order: one boolean for each number. What a
window adds is a visit: nothing, or at least the smallest useful one, and its set-up on top.
"""

from bagatelle.engine.problem import Item, Problem, worth_of
from msgspec import Struct
from ortools.sat.python import cp_model

from tests.outside.generated_windows import WindowsCase
from tests.outside.options import least_units, seconds_by_units


class Found(Struct, frozen=True):
    """What the solver came to; no worth where it found no plan."""

    worth: int | None
    bound: int
    status: str
    units: dict[str, list[int]]
    """Task id -> units done after each window."""


class Model:
    """A built model, ready to be solved once."""

    def __init__(self, case: WindowsCase) -> None:
        self._case = case
        self._model = cp_model.CpModel()
        self._kept: dict[str, cp_model.IntVar] = {}
        self._done: dict[str, list[list[cp_model.IntVar]]] = {}
        self._visited: dict[str, list[cp_model.IntVar]] = {}
        self._first: dict[str, int] = {}
        self._objective: list[cp_model.LinearExpr] = []
        self._costs: list[list[cp_model.LinearExpr]] = [[] for _ in case.windows]
        for item in case.problem.items:
            self._add_item(item)
        for costs, window in zip(self._costs, case.windows, strict=True):
            self._model.add(sum(costs) <= window)
        self._model.add(sum(sum(costs) for costs in self._costs) <= case.problem.capacity_seconds)
        self._add_duties(case.problem)
        self._add_order()
        self._model.maximize(sum(self._objective))

    def _add_item(self, item: Item) -> None:
        problem, windows, model = self._case.problem, self._case.windows, self._model
        seconds = [0, *(s for s in seconds_by_units(item) if s <= problem.capacity_seconds)]
        least = least_units(problem, item, seconds_by_units(item))
        chunk = 1 if problem.floor_mode == "unit" else _chunk_seconds(item)
        kept = model.new_bool_var(item.id)
        self._kept[item.id] = kept
        self._visited[item.id] = []
        self._done[item.id] = []
        before: cp_model.LinearExpr | int = 0
        for place, window in enumerate(windows):
            last = place == len(windows) - 1
            booleans = [model.new_bool_var("") for _ in seconds]
            model.add_exactly_one(booleans)
            self._done[item.id].append(booleans)
            after = cp_model.LinearExpr.weighted_sum(booleans, seconds)
            visited = model.new_bool_var("")
            self._visited[item.id].append(visited)
            model.add(after - before >= chunk * visited)
            model.add(after - before <= max(window - item.set_up_seconds, 0) * visited)
            model.add_implication(visited, kept)
            self._costs[place].append(after - before + item.set_up_seconds * visited)
            if last:
                for units, boolean in enumerate(booleans):
                    if 0 < units < least:
                        model.add(boolean == 0)
                model.add(booleans[0] + kept == 1)
                worths = [0, *(worth_of(item, s, problem.curve) for s in seconds[1:])]
                self._objective.append(cp_model.LinearExpr.weighted_sum(booleans, worths))
            before = after
        model.add_bool_or([*self._visited[item.id], ~kept])

    def _add_duties(self, problem: Problem) -> None:
        kept = self._kept
        self._model.add(sum(kept.values()) <= problem.duties.task_limit)
        self._model.add_bool_or(list(kept.values()))
        for item in problem.items:
            if item.must:
                self._model.add(kept[item.id] == 1)
        if problem.duties.music:
            self._model.add_bool_or([kept[item.id] for item in problem.items if item.music])

    def _add_order(self) -> None:
        """What strains comes in no window before the first of what prepares.

        Where nothing needs preparing, a day opens with high strain only if there is nothing else in it.
        """
        items, ranks = self._case.problem.items, self._case.ranks
        if self._case.problem.duties.prepare:
            later = [item.id for item in items if item.strains]
            first = [item.id for item in items if item.prepares]
            needed = True
        else:
            later = [item.id for item in items if ranks[item.id] == 3]
            first = [item.id for item in items if ranks[item.id] < 3]
            needed = False
        for place in range(len(self._case.windows)):
            until_now = [v for name in first for v in self._visited[name][: place + 1]]
            for name in later:
                visited = self._visited[name][place]
                if needed:
                    self._model.add_bool_or([*until_now, ~visited])
                else:
                    for other in first:
                        self._model.add_bool_or([*until_now, ~visited, ~self._kept[other]])

    def solve(self, seconds: float, workers: int = 1) -> Found:
        """Search for so long."""
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = workers
        solver.parameters.max_time_in_seconds = seconds
        status = solver.solve(self._model)
        name = solver.status_name(status)
        if status not in {cp_model.OPTIMAL, cp_model.FEASIBLE}:
            return Found(None, round(solver.best_objective_bound), name, {})
        units = {
            task: [next(n for n, b in enumerate(bs) if solver.boolean_value(b)) for bs in after]
            for task, after in self._done.items()
            if solver.boolean_value(self._kept[task])
        }
        return Found(round(solver.objective_value), round(solver.best_objective_bound), name, units)


def _chunk_seconds(item: Item) -> int:
    """The first units that reach the chunk; all of them where they do not."""
    seconds = seconds_by_units(item)
    return next((end for end in seconds if end >= item.chunk_seconds), seconds[-1])
