"""The problem of several windows for CP-SAT (OR-Tools), written from the rules' wording.

Units of one length are counted window by window. Units of several lengths are counted on through the day, and what
is played until the end of each window is looked up; the difference is the visit. A visit is nothing, or at least
the smallest useful one and its set-up on top. One boolean for each dose gives its worth.
"""

import threading
import time
from typing import Final

from bagatelle.engine.doses import worth_of
from bagatelle.engine.problem import Item, Problem
from msgspec import Struct
from ortools.sat.python import cp_model

from tests.outside.generated_windows import HIGH, WindowsCase
from tests.outside.options import chunk_seconds, least_units, seconds_by_units

_LOOK_EVERY_SECONDS: Final = 0.05
_WALL_SECONDS: Final = 120.0


class Found(Struct, frozen=True):
    """What the solver came to."""

    worth: int | None
    """None where it found no plan."""
    bound: int | None
    """None where it found that there is no plan."""
    proved: bool


class Model:
    """A built model, ready to be solved once."""

    def __init__(self, case: WindowsCase) -> None:
        self._case = case
        self._model = cp_model.CpModel()
        self._kept: dict[str, cp_model.IntVar] = {}
        self._visited: dict[str, list[cp_model.IntVar]] = {}
        self._worths: list[cp_model.LinearExpr | int] = []
        self._costs: list[list[cp_model.LinearExpr | int]] = [[] for _ in case.windows]
        for item in case.problem.items:
            self._add_item(item)
        for costs, window in zip(self._costs, case.windows, strict=True):
            self._model.add(cp_model.LinearExpr.sum(costs) <= window)
        everything = [cost for costs in self._costs for cost in costs]
        self._model.add(cp_model.LinearExpr.sum(everything) <= case.problem.capacity_seconds)
        self._add_duties(case.problem)
        self._add_order()
        self._model.maximize(cp_model.LinearExpr.sum(self._worths))

    def _add_item(self, item: Item) -> None:
        problem, model = self._case.problem, self._model
        within = problem.capacity_seconds - item.set_up_seconds
        ends = [0, *(end for end in seconds_by_units(item) if end <= within)]
        kept = self._kept[item.id] = model.new_bool_var(item.id)
        self._visited[item.id] = [model.new_bool_var("") for _ in self._case.windows]
        model.add_bool_or([*self._visited[item.id], ~kept])
        for visited in self._visited[item.id]:
            model.add_implication(visited, kept)
        doses = range(least_units(problem, item, seconds_by_units(item)), len(ends))
        chosen = [model.new_bool_var("") for _ in doses]
        model.add_exactly_one([*chosen, ~kept])
        units = model.new_int_var(0, len(ends) - 1, "")
        model.add(units == cp_model.LinearExpr.weighted_sum(chosen, list(doses)))
        worths = [worth_of(item, ends[dose], problem.curve) for dose in doses]
        self._worths.append(cp_model.LinearExpr.weighted_sum(chosen, worths))
        if len(set(item.unit_seconds)) == 1:
            self._add_counted_visits(item, units, len(ends) - 1)
        else:
            self._add_looked_up_visits(item, units, ends)

    def _add_counted_visits(self, item: Item, units: cp_model.IntVar, most: int) -> None:
        """Units of one length: so many in each window."""
        each = item.unit_seconds[0]
        smallest = -(-chunk_seconds(self._case.problem, item) // each)
        counts = []
        for place, visited in enumerate(self._visited[item.id]):
            fitting = max((self._case.windows[place] - item.set_up_seconds) // each, 0)
            count = self._model.new_int_var(0, min(fitting, most), "")
            self._model.add(count >= smallest * visited)
            self._model.add(count <= min(fitting, most) * visited)
            self._costs[place].append(each * count + item.set_up_seconds * visited)
            counts.append(count)
        self._model.add(cp_model.LinearExpr.sum(counts) == units)

    def _add_looked_up_visits(self, item: Item, units: cp_model.IntVar, ends: list[int]) -> None:
        """Units of several lengths: how many are done after each window, and how long they take."""
        before: cp_model.IntVar | int = 0
        smallest = chunk_seconds(self._case.problem, item)
        for place, visited in enumerate(self._visited[item.id]):
            last = place == len(self._case.windows) - 1
            done = units if last else self._model.new_int_var(0, len(ends) - 1, "")
            after = self._model.new_int_var(0, ends[-1], "")
            self._model.add_element(done, ends, after)
            fitting = max(self._case.windows[place] - item.set_up_seconds, 0)
            self._model.add(after - before >= smallest * visited)
            self._model.add(after - before <= fitting * visited)
            self._costs[place].append(after - before + item.set_up_seconds * visited)
            before = after

    def _add_duties(self, problem: Problem) -> None:
        kept, model = self._kept, self._model
        # One that prepares comes on top.
        others = [kept[item.id] for item in problem.items if not item.prepares]
        model.add(cp_model.LinearExpr.sum(others) <= problem.duties.task_limit)
        model.add(cp_model.LinearExpr.sum(list(kept.values())) <= problem.duties.task_limit + 1)
        model.add_bool_or(list(kept.values()))
        for item in problem.items:
            if item.must:
                model.add(kept[item.id] == 1)
            if item.stand_in:
                model.add_bool_or([~kept[item.id], *(kept[one.id] for one in problem.items if one.strains)])
                for other in problem.items:
                    if other.prepares and other is not item:
                        model.add_bool_or([~kept[item.id], ~kept[other.id]])
        if problem.duties.more:
            model.add_bool_or([kept[item.id] for item in problem.items if not item.warm_up])
        if problem.duties.music:
            model.add_bool_or([kept[item.id] for item in problem.items if item.music])

    def _add_order(self) -> None:
        """What strains visits no window before the first of what prepares.

        Where nothing has to prepare, a day opens with high strain only if there is nothing else in it.
        """
        items, ranks, prepare = self._case.problem.items, self._case.ranks, self._case.problem.duties.prepare
        later = [item.id for item in items if (item.strains if prepare else ranks[item.id] >= HIGH)]
        first = [item.id for item in items if (item.prepares if prepare else ranks[item.id] < HIGH)]
        for place in range(len(self._case.windows)):
            until_now = [visited for name in first for visited in self._visited[name][: place + 1]]
            for name in later:
                visited = self._visited[name][place]
                if prepare:
                    self._model.add_bool_or([*until_now, ~visited])
                else:
                    for other in first:
                        self._model.add_bool_or([*until_now, ~visited, ~self._kept[other]])

    def solve(self, processor_seconds: float) -> Found:
        """Search with one worker for so much processor time of this process."""
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1
        solver.parameters.max_time_in_seconds = _WALL_SECONDS
        over = threading.Event()
        end = time.process_time() + processor_seconds

        def watch() -> None:
            while not over.wait(_LOOK_EVERY_SECONDS):
                if time.process_time() > end:
                    solver.stop_search()
                    return

        watcher = threading.Thread(target=watch)
        watcher.start()
        status = solver.solve(self._model)
        over.set()
        watcher.join()
        if status == cp_model.INFEASIBLE:
            return Found(worth=None, bound=None, proved=True)
        found = status in {cp_model.OPTIMAL, cp_model.FEASIBLE}
        return Found(
            worth=round(solver.objective_value) if found else None,
            bound=round(solver.best_objective_bound),
            proved=status == cp_model.OPTIMAL,
        )
