"""A day of several windows arranged for the body: the same doses, as legal, and never worse to a teacher's eye.

What a teacher would not have is counted here again from the visits, in plain loops. Common practice, no source.
"""

from collections.abc import Iterator, Sequence
from itertools import combinations

from bagatelle.engine.layout import Visit
from bagatelle.engine.windows import WindowsPlan, arranged_visits, plan_windows
from hypothesis import assume, event, given
from hypothesis import strategies as st
from msgspec.structs import replace

from tests.outside.generated_windows import WindowsCase, windows_case
from tests.outside.rules_of_windows import wrong_visits

LOW, MODERATE, HIGH = 1, 3, 4
"""In the order of the body: 0 prepares, 2 needs no body."""
_RANKS = {0: 0, 1: LOW, 2: MODERATE, 3: HIGH}
INDICES = st.integers(0, 1_000_000)


def case_of(index: int, windows: int) -> WindowsCase:
    """A generated day with so many of its windows at most, its tasks in the order of the body."""
    case = windows_case(index)
    kept = case.windows[:windows]
    capacity = min(case.problem.capacity_seconds, sum(kept))
    ranks = {name: _RANKS[rank] for name, rank in case.ranks.items()}
    return WindowsCase(replace(case.problem, capacity_seconds=capacity), kept, ranks)


def planned_and_arranged(case: WindowsCase) -> tuple[WindowsPlan, tuple[Visit, ...]]:
    plan = plan_windows(case.problem, case.windows, case.order_of, warm=True)
    assume(plan is not None)
    assert plan is not None
    return plan, arranged_visits(case.problem, case.windows, case.order_of, plan.visits, None)


def unready(case: WindowsCase, visits: Sequence[Visit]) -> int:
    """High strain before the first low or moderate work of the day that is no warm-up."""
    count = 0
    for visit in sorted(visits, key=lambda visit: (visit.window, case.ranks[visit.task])):
        rank = case.ranks[visit.task]
        if rank in (LOW, MODERATE):
            return count
        count += rank == HIGH
    return count


def cold(case: WindowsCase, visits: Sequence[Visit]) -> int:
    """How much the windows begin with strain."""
    easiest: dict[int, int] = {}
    for visit in visits:
        easiest[visit.window] = min(easiest.get(visit.window, HIGH), case.ranks[visit.task])
    return sum(max(rank - MODERATE + 1, 0) for rank in easiest.values())


@given(INDICES, st.integers(2, 8))
def test_the_doses_stay_and_the_day_is_legal(index: int, windows: int) -> None:
    case = case_of(index, windows)
    plan, visits = planned_and_arranged(case)
    assert wrong_visits(case, visits) == []
    doses = {name: sum(visit.units for visit in visits if visit.task == name) for name in plan.doses}
    assert doses == plan.doses
    assert {visit.window for visit in visits} == {visit.window for visit in plan.visits}


@given(INDICES, st.integers(2, 8))
def test_no_day_gets_worse(index: int, windows: int) -> None:
    case = case_of(index, windows)
    plan, visits = planned_and_arranged(case)
    before, after = ((unready(case, each), cold(case, each)) for each in (plan.visits, visits))
    event("better" if after < before else "as good")
    assert after <= before


@given(INDICES)
def test_no_exchange_of_two_visits_is_left_that_would_bring_easier_work_before_much_strain(
    index: int,
) -> None:
    case = case_of(index, 3)
    _, visits = planned_and_arranged(case)
    for exchanged in exchanges(visits):
        other = sorted(exchanged, key=lambda visit: (visit.window, case.ranks[visit.task]))
        if not wrong_visits(case, other):
            assert unready(case, other) >= unready(case, visits)


def exchanges(visits: Sequence[Visit]) -> Iterator[tuple[Visit, ...]]:
    """Two visits of tasks that are visited once, each in the other's window."""
    names = [visit.task for visit in visits]
    once = [visit for visit in visits if names.count(visit.task) == 1]
    for one, other in combinations(once, 2):
        swapped = {
            one.task: replace(one, window=other.window),
            other.task: replace(other, window=one.window),
        }
        yield tuple(swapped.get(visit.task, visit) for visit in visits)
