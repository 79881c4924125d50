"""Several windows: every plan is legal, within its bound, and no plan that there is passes the bound.

Legality and the best of all plans are counted again in tests/outside, from the rules' wording.
"""

from bagatelle.engine.problem import Duties, Item, Problem
from bagatelle.engine.windows import WindowsPlan, plan_windows
from hypothesis import assume, given
from hypothesis import strategies as st
from msgspec.structs import replace

from tests.outside.brute_force_windows import best_worth, count_of_plans
from tests.outside.generated_windows import HIGH, MODERATE, WindowsCase, windows_case
from tests.outside.rules_of_windows import wrong_visits

FEW_PLANS = 4_000
INDICES = st.integers(1_000, 1_000_000)


def planned(case: WindowsCase) -> WindowsPlan | None:
    return plan_windows(case.problem, case.windows, case.order_of)


@st.composite
def small_items(draw: st.DrawFn, name: str) -> Item:
    usual = draw(st.integers(4, 20))
    prepares = draw(st.integers(0, 3)) == 0
    stand_in = prepares and draw(st.integers(0, 3)) == 0
    return Item(
        id=name,
        weight=0.0 if stand_in else draw(st.sampled_from((0.3, 0.7, 1.0, 1.5))),
        usual_seconds=usual,
        largest_seconds=usual,
        unit_seconds=tuple(draw(st.lists(st.integers(2, 9), min_size=1, max_size=3))),
        chunk_seconds=draw(st.integers(1, 8)),
        set_up_seconds=draw(st.integers(0, 3)),
        strains=not prepares and draw(st.booleans()),
        prepares=prepares,
        warm_up=prepares and draw(st.booleans()),
        music=draw(st.booleans()),
        short_floor=draw(st.booleans()),
        must=not stand_in and draw(st.integers(0, 7)) == 0,
        stand_in=stand_in,
    )


@st.composite
def small_cases(draw: st.DrawFn) -> WindowsCase:
    items = tuple(draw(small_items(f"t{place}")) for place in range(draw(st.integers(1, 4))))
    windows = tuple(draw(st.lists(st.integers(3, 20), min_size=2, max_size=3)))
    budget = draw(st.integers(3, sum(windows)))
    problem = Problem(
        items=items,
        budget_seconds=budget,
        capacity_seconds=budget,
        floor_mode=draw(st.sampled_from(("usual", "chunk", "unit"))),
        duties=Duties(
            prepare=draw(st.booleans()),
            music=draw(st.booleans()),
            more=draw(st.booleans()),
            task_limit=draw(st.integers(1, 4)),
        ),
        curve=2.0,
    )
    ranks = {
        item.id: 0 if item.prepares else draw(st.sampled_from((MODERATE, HIGH))) if item.strains else 1
        for item in items
    }
    return WindowsCase(problem, windows, ranks)


@given(small_cases())
def test_no_plan_passes_the_bound(case: WindowsCase) -> None:
    assume(count_of_plans(case) <= FEW_PLANS)
    optimum = best_worth(case)
    plan = planned(case)
    if plan is None:
        return
    assert wrong_visits(case, plan.visits) == []
    assert optimum is not None
    assert plan.worth <= optimum <= plan.bound


@given(INDICES)
def test_every_plan_is_legal_and_within_its_bound(index: int) -> None:
    case = windows_case(index)
    plan = planned(case)
    assume(plan is not None)
    assert plan is not None
    assert wrong_visits(case, plan.visits) == []
    assert plan.worth <= plan.bound
    assert plan.doses == {
        name: sum(visit.units for visit in plan.visits if visit.task == name) for name in sorted(plan.doses)
    }


@given(INDICES, st.integers(0, 7), st.integers(1, 20))
def test_more_time_in_a_window_never_makes_the_bound_lower(index: int, window: int, minutes: int) -> None:
    case = windows_case(index)
    longer = list(case.windows)
    longer[window % len(longer)] += 60 * minutes
    more = replace(
        case,
        problem=replace(case.problem, capacity_seconds=case.problem.capacity_seconds + 60 * minutes),
        windows=tuple(longer),
    )
    before, after = planned(case), planned(more)
    assume(before is not None and after is not None)
    assert before is not None
    assert after is not None
    assert after.bound >= before.bound
