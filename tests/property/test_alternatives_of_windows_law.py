"""Several windows: no other plan that is offered beside a plan is worth more than it."""

import pytest
from bagatelle.engine.windows import SeveralWindows
from hypothesis import given
from hypothesis import strategies as st

from tests.outside.generated_windows import windows_case


def assert_nothing_offered_is_better(index: int) -> None:
    case = windows_case(index)
    solver = SeveralWindows(case.problem, case.windows, case.order_of)
    plan = solver.best()
    if plan is None:
        return
    # One that prepares comes on top of the things that count.
    count = len(plan.doses) - any(item.prepares for item in case.problem.items if item.id in plan.doses)
    fewer = solver.other(count - 1, None) if count > 1 else None
    another = solver.other(None, frozenset(plan.doses))
    for other in (fewer, another):
        assert other is None or other.worth <= plan.worth <= plan.bound


@given(st.integers(0, 1_000_000))
def test_nothing_offered_is_better(index: int) -> None:
    assert_nothing_offered_is_better(index)


@pytest.mark.parametrize("index", [65, 91, 139, 178])
def test_where_a_search_with_fewer_tasks_finds_more(index: int) -> None:
    """Here the first search ends at less than a search for an alternative."""
    assert_nothing_offered_is_better(index)
