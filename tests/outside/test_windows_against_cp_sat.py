"""Several windows against CP-SAT (OR-Tools): its answers after 10 seconds, stored; its optimum on small days."""

from statistics import median

import pytest
from bagatelle.engine.windows import plan_windows
from hypothesis import assume, given, settings

from tests.bench.tables import percentile
from tests.bench.windows import check
from tests.outside.brute_force_windows import best_worth, count_of_plans
from tests.outside.cp_sat_windows import Model
from tests.outside.generated_windows import WindowsCase, windows_case
from tests.outside.windows_of_cp_sat import CASES, Stored, stored
from tests.property.test_windows_bound_law import small_cases

FEW_PLANS = 1_000
SMALL_SECONDS = 20.0


@pytest.fixture(scope="module")
def answers() -> dict[int, Stored]:
    return stored()


def test_every_case_is_stored(answers: dict[int, Stored]) -> None:
    assert list(answers) == list(range(CASES))
    assert sum(answer.worth is not None for answer in answers.values()) >= 0.95 * CASES


@pytest.mark.xdist_group("windows against CP-SAT")
def test_plans_are_as_good_as_promised(answers: dict[int, Stored]) -> None:
    """Within 1 % of CP-SAT in the median, 2 % in nine of ten; the own certificate within 3 % in the median."""
    less, gaps = [], []
    for index, answer in answers.items():
        case = windows_case(index)
        plan = plan_windows(case.problem, case.windows, case.order_of)
        check(index, case, answer, plan)
        if plan is not None and answer.worth is not None:
            less.append(1 - plan.worth / answer.worth)
            gaps.append((plan.bound - plan.worth) / plan.bound)
    assert median(less) <= 0.01
    assert percentile(less, 90) <= 0.02
    assert median(gaps) <= 0.03


@given(small_cases())
@settings(max_examples=60)
def test_its_formulation_has_the_optimum_of_all_plans(case: WindowsCase) -> None:
    assume(count_of_plans(case) <= FEW_PLANS)
    found = Model(case).solve(SMALL_SECONDS)
    assert found.proved
    assert found.worth == best_worth(case)
