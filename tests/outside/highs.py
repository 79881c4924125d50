"""The one-window problem for HiGHS, a solver of mixed-integer linear programs.

One binary column for each option of an item and one that says whether the item is kept, tied by an equation.
HiGHS calculates in floating point: the rows hold small whole numbers, well within its tolerances, and a gap of
less than one unit of worth is a proof, as worths are whole. What counts is recomputed from the chosen options
in whole numbers by whoever asks.

Variants measured against each other on 40 ordinary and 20 hard problems, one thread, milliseconds of solving,
median and mean of the ordinary ones (2 cores, HiGHS 1.16):

- this one: 8.2 and 20.1
- restarts left on: 8.0 and 23.5 (worse on the hard ones: 4.0 against 2.6 in the mean)
- the feasibility jump left on too: 13.1 and 25.8
- no column for 'kept', at most one option an item: 18.7 and 42.1
- the columns for 'kept' continuous: 9.5 and 25.8
- without presolve: 18.5 and 31.3
- without heuristics: 8.3 and 21.4; without cuts below the root: 9.2 and 22.4; no search for symmetries: no gain
"""

from typing import Any, Final

import highspy
import numpy as np
from bagatelle.engine.problem import Problem

from tests.outside.options import options_of

SETTINGS: Final[dict[str, bool | int | float]] = {
    "output_flag": False,
    "threads": 1,
    "mip_rel_gap": 0.0,
    # Worths are whole: a bound less than one above the best plan proves it.
    "mip_abs_gap": 0.5,
}
FASTER: Final[dict[str, bool]] = {
    "mip_heuristic_run_feasibility_jump": False,
    "mip_allow_restart": False,
}


class _Rows:
    """Rows of a constraint matrix as they are written, one after the other."""

    def __init__(self) -> None:
        self.lower: list[float] = []
        self.upper: list[float] = []
        self.starts = [0]
        self.columns: list[int] = []
        self.values: list[float] = []

    def add(self, lower: float, upper: float, terms: list[tuple[int, float]]) -> None:
        """`lower <= sum of value * column <= upper`."""
        self.lower.append(lower)
        self.upper.append(upper)
        self.columns += [column for column, _ in terms]
        self.values += [value for _, value in terms]
        self.starts.append(len(self.columns))


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
        """Build; `as_it_comes` leaves every setting but threads and gaps as the library has it."""
        self._count = len(problem.items)
        self._options = [
            (place, option)
            for place, item in enumerate(problem.items)
            for option in options_of(problem, item)
        ]
        self._problem = problem
        rows = _Rows()
        self._add_options(rows)
        self._add_sums(rows, task_limit)
        _add_duties(rows, problem)
        if forbidden_set is not None:
            _forbid(rows, problem, forbidden_set)
        self._highs: Any = highspy.Highs()  # type: ignore[no-untyped-call]  # its class is untyped
        for name, value in (SETTINGS if as_it_comes else SETTINGS | FASTER).items():
            _succeed(self._highs.setOptionValue(name, value), name)
        _succeed(self._highs.passModel(self._program(rows)), "the model")

    def _add_options(self, rows: _Rows) -> None:
        """Columns 0 to n - 1 say which of the n items are kept; the options come after."""
        columns: list[list[tuple[int, float]]] = [[(place, -1.0)] for place in range(self._count)]
        for column, (place, _) in enumerate(self._options, start=self._count):
            columns[place].append((column, 1.0))
        for terms in columns:
            rows.add(0, 0, terms)

    def _add_sums(self, rows: _Rows, task_limit: int | None) -> None:
        limit = self._problem.duties.task_limit
        limit = limit if task_limit is None else min(limit, task_limit)
        costs = [
            (column, float(option.cost_seconds))
            for column, (_, option) in enumerate(self._options, start=self._count)
        ]
        rows.add(-highspy.kHighsInf, self._problem.capacity_seconds, costs)
        # One that prepares comes on top.
        others = [place for place, item in enumerate(self._problem.items) if not item.prepares]
        rows.add(0, limit, [(place, 1.0) for place in others])
        rows.add(1, limit + 1, [(place, 1.0) for place in range(self._count)])

    def _program(self, rows: _Rows) -> highspy.HighsLp:
        columns = self._count + len(self._options)
        worths = [0.0] * self._count + [float(option.worth) for _, option in self._options]
        program = highspy.HighsLp()
        program.num_col_ = columns
        program.num_row_ = len(rows.lower)
        program.sense_ = highspy.ObjSense.kMaximize
        program.col_cost_ = np.array(worths)
        must = [1.0 if item.must else 0.0 for item in self._problem.items]
        program.col_lower_ = np.array(must + [0.0] * len(self._options))
        program.col_upper_ = np.ones(columns)
        program.integrality_ = [highspy.HighsVarType.kInteger] * columns
        program.row_lower_ = np.array(rows.lower, dtype=float)
        program.row_upper_ = np.array(rows.upper, dtype=float)
        program.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
        program.a_matrix_.start_ = np.array(rows.starts, dtype=np.int32)
        program.a_matrix_.index_ = np.array(rows.columns, dtype=np.int32)
        program.a_matrix_.value_ = np.array(rows.values, dtype=float)
        return program

    def solve(self) -> dict[str, int] | None:
        """Units by task of a best plan; None where no plan is legal.

        Raises
        ------
        RuntimeError
            HiGHS ended without a proof.
        """
        _succeed(self._highs.run(), "the search")
        status = self._highs.getModelStatus()
        if status == highspy.HighsModelStatus.kInfeasible:
            return None
        if status != highspy.HighsModelStatus.kOptimal:
            raise RuntimeError(f"HiGHS ended as {self._highs.modelStatusToString(status)}")
        values = self._highs.getSolution().col_value[self._count :]
        items = self._problem.items
        return {
            items[place].id: option.units
            for value, (place, option) in zip(values, self._options, strict=True)
            if value > 0.5
        }


def _add_duties(rows: _Rows, problem: Problem) -> None:
    infinite = highspy.kHighsInf
    if problem.duties.music:
        rows.add(1, infinite, [(place, 1.0) for place, item in enumerate(problem.items) if item.music])
    if problem.duties.more:
        rows.add(1, infinite, [(place, 1.0) for place, item in enumerate(problem.items) if not item.warm_up])
    if problem.duties.prepare:
        preparing = [(place, 1.0) for place, item in enumerate(problem.items) if item.prepares]
        for place, item in enumerate(problem.items):
            if item.strains and not item.prepares:
                rows.add(0, infinite, [*preparing, (place, -1.0)])


def _forbid(rows: _Rows, problem: Problem, forbidden_set: frozenset[str]) -> None:
    """The kept items differ from these by at least one."""
    names = [item.id for item in problem.items]
    inside = [(place, -1.0) for place, name in enumerate(names) if name in forbidden_set]
    outside = [(place, 1.0) for place, name in enumerate(names) if name not in forbidden_set]
    if len(inside) == len(forbidden_set):
        rows.add(1 - len(inside), highspy.kHighsInf, inside + outside)


def _succeed(status: highspy.HighsStatus, what: str) -> None:
    if status == highspy.HighsStatus.kError:
        raise RuntimeError(f"HiGHS refused {what}")
