"""A plan never holds nothing but a warm-up where the routine has something else that the day could hold.

A warm-up alone is no practice (common practice, no source). Where the floor of all else is too long to stand
beside it, floors fall.
"""

from bagatelle.model.plan import Plan, TaskNumbers
from hypothesis import given
from hypothesis import strategies as st

from tests.strategies import Sent, plan_of, plan_or_reject, requests


def is_more(task: TaskNumbers) -> bool:
    return task.available and not task.stand_in and task.area != "warm-up"


def least_seconds(task: TaskNumbers) -> int:
    return task.set_up_seconds + task.units[0].seconds


def holds_only_a_warm_up(plan: Plan) -> bool:
    areas = {task.task: task.area for task in plan.tasks}
    return all(step.kind == "rest" or areas[str(step.task)] == "warm-up" for step in plan.steps)


@given(requests(most_windows=0), st.integers(3, 12))
def test_something_else_is_kept_where_it_fits(sent: Sent, minutes: int) -> None:
    plan = plan_or_reject(sent | {"circumstances": {"minutes": minutes}})
    fits = any(is_more(task) and least_seconds(task) <= plan.budget_seconds for task in plan.tasks)
    strains = any(task.strain in {"moderate", "high"} for task in plan.tasks)
    pinned = any(task.pin == "always" for task in plan.tasks)
    if fits and not strains and not pinned:
        assert not holds_only_a_warm_up(plan)


def test_the_floor_falls_for_what_strains() -> None:
    """Four minutes and a half, half of one free: the warm-up takes two, octaves would like three of their six."""
    warm_up = {
        "id": "warm-up",
        "title": "Slow and loose",
        "area": "warm-up",
        "stage": "maintaining",
        "minutes": 6,
        "strain": "low",
        "manner": "slowly",
        "done_when": "the hands are warm",
        "passages": [{"id": "all", "label": "once through", "seconds": 120, "passes": 1}],
    }
    octaves = {
        "id": "octaves",
        "title": "Octaves",
        "area": "technique",
        "stage": "new",
        "minutes": 6,
        "strain": "high",
        "manner": "from the wrist",
        "done_when": "loose to the end",
        "smallest_chunk_seconds": 180,
        "passages": [{"id": "c", "label": "in C", "seconds": 60, "passes": 1}],
    }
    plan = plan_of(
        {
            "routine": {"blocks": [{"title": "Day", "tasks": [warm_up, octaves]}]},
            "circumstances": {"minutes": 4.5},
            "policy": {"share": 0.5},
        }
    )
    assert {step.task for step in plan.steps} == {"warm-up", "octaves"}
    assert plan.floor_mode == "unit"
