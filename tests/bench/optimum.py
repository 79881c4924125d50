"""The engine against HiGHS and CP-SAT: same instances, same optimum, one after the other in one run.

On each instance each solver runs a few times on end, so that each is as warm as it gets.
"""

from collections.abc import Callable
from statistics import mean, median
from time import perf_counter
from typing import Final

from bagatelle.engine import doses
from bagatelle.engine.problem import Problem
from bagatelle.engine.search import best_plan
from msgspec import Struct

from tests.bench.tables import milliseconds, percentile, table
from tests.outside import cp_sat, highs
from tests.outside.generated import typical_problem
from tests.outside.options import worth_of_doses

INSTANCES: Final = 60
REPEATS: Final = 5

Doses = dict[str, int] | None


class Timed(Struct, frozen=True):
    """What a solver found, and how long it took to build its model and to solve it."""

    doses: Doses
    building_seconds: float
    solving_seconds: float


def _engine(problem: Problem) -> Timed:
    doses._scale.cache_clear()  # nothing is remembered from the instance's runs before
    start = perf_counter()
    found = best_plan(problem)
    end = perf_counter()
    if found is not None and not found.proved:
        raise AssertionError("The engine ended without a proof.")
    return Timed(None if found is None else found.doses, 0.0, end - start)


def _cp_sat(problem: Problem, *, as_it_comes: bool) -> Timed:
    start = perf_counter()
    model = cp_sat.Model(problem, as_it_comes=as_it_comes)
    built = perf_counter()
    doses = model.solve()
    return Timed(doses, built - start, perf_counter() - built)


def _highs(problem: Problem, *, as_it_comes: bool) -> Timed:
    start = perf_counter()
    model = highs.Model(problem, as_it_comes=as_it_comes)
    built = perf_counter()
    doses = model.solve()
    return Timed(doses, built - start, perf_counter() - built)


SOLVERS: Final[dict[str, Callable[[Problem], Timed]]] = {
    "engine": _engine,
    "CP-SAT, best settings found": lambda problem: _cp_sat(problem, as_it_comes=False),
    "CP-SAT as it comes": lambda problem: _cp_sat(problem, as_it_comes=True),
    "HiGHS, best settings found": lambda problem: _highs(problem, as_it_comes=False),
    "HiGHS as it comes": lambda problem: _highs(problem, as_it_comes=True),
}


def run() -> str:
    """Measure and write the report.

    Raises
    ------
    AssertionError
        Two solvers differ in the optimum of an instance.
    """
    problems = [typical_problem(index) for index in range(INSTANCES)]
    for solve in SOLVERS.values():
        solve(problems[0])  # libraries load on first use
    solving: dict[str, list[float]] = {name: [] for name in SOLVERS}
    both: dict[str, list[float]] = {name: [] for name in SOLVERS}
    for index, problem in enumerate(problems):
        for name, timed in _measure(index, problem).items():
            solving[name].append(median(run.solving_seconds for run in timed))
            both[name].append(median(run.building_seconds + run.solving_seconds for run in timed))
    return _report(solving, both)


def _measure(index: int, problem: Problem) -> dict[str, list[Timed]]:
    timed = {name: [solve(problem) for _ in range(REPEATS)] for name, solve in SOLVERS.items()}
    worths = {
        name: {None if run.doses is None else worth_of_doses(problem, run.doses) for run in runs}
        for name, runs in timed.items()
    }
    if len(set().union(*worths.values())) != 1:
        raise AssertionError(f"Instance {index}: the solvers differ: {worths}")
    return timed


def _report(solving: dict[str, list[float]], both: dict[str, list[float]]) -> str:
    engine = solving["engine"]
    ratios = [
        [name, *(f"{ratio:.1f}" for ratio in _ratios(solving[name], engine) + _ratios(both[name], engine))]
        for name in SOLVERS
        if name != "engine"
    ]
    times = [
        [
            name,
            *(
                milliseconds(value)
                for value in (median(values), mean(values), percentile(values, 90), max(values))
            ),
            milliseconds(median(both[name])),
        ]
        for name, values in solving.items()
    ]
    explanation = (
        f"{INSTANCES} generated routines of 8 to 24 tasks, all rules on, the same optimum from each on every "
        f"instance; median of {REPEATS} runs on end each, one thread, solver after solver. How many times "
        "as long as the engine each takes: in the median instance, and in all instances together; for solving "
        "alone, and with the building of its model. The engine's time is always the whole call."
    )
    return "\n".join(
        [
            "## One window: the engine against general solvers",
            "",
            explanation,
            "",
            table(
                ["times as long as the engine", "solving, median", "all", "with building, median", "all"],
                ratios,
            ),
            "",
            table(["", "solving, median", "mean", "90 %", "longest", "with building, median"], times),
        ]
    )


def _ratios(others: list[float], engine: list[float]) -> tuple[float, float]:
    in_the_median = median(other / own for other, own in zip(others, engine, strict=True))
    return in_the_median, sum(others) / sum(engine)
