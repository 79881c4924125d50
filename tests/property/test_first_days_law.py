"""After a long time away the first days are small and easy; with little energy a longer day is no reason for more.

Common practice, no source.
"""

from datetime import date, timedelta

from bagatelle.model.plan import Plan, TaskNumbers
from hypothesis import event, given
from hypothesis import strategies as st

from tests.strategies import Sent, plan_or_reject, requests

STRAINING = {"moderate", "high"}
DAY = date(2027, 3, 1)


def away(sent: Sent, days: int) -> Sent:
    """The request with a history that ends so many days before the day of the plan."""
    names = [
        task["id"] for block in sent["routine"]["blocks"] for task in block.get("tasks", ()) if "id" in task
    ]
    last = DAY - timedelta(days=days)
    history = [{"task": name, "date": last.isoformat(), "seconds": 60} for name in names[:1] or ["earlier"]]
    return sent | {"date": DAY.isoformat(), "history": history}


def most(usual_seconds: int) -> int:
    return max(usual_seconds // 4, min(180, usual_seconds))


def is_due_soon(task: TaskNumbers, plan: Plan) -> bool:
    return task.due_days is not None and 0 <= task.due_days <= plan.policy.near_days


@given(requests(), st.integers(21, 400))
def test_the_first_days_are_small_and_easy(sent: Sent, days: int) -> None:
    plan = plan_or_reject(away(sent, days) | {"policy": {}})
    assert plan.budget_seconds <= most(plan.usual_seconds)
    assert any(f"away for {days // 7} weeks" in caution for caution in plan.cautions)
    strain = {task.task: task.strain for task in plan.tasks}
    if any(strain[step.task] != "none" for step in plan.steps if step.task is not None):
        assert any("hurts" in caution and "stop" in caution for caution in plan.cautions)
    kept = {step.task for step in plan.steps if step.task is not None}
    if any(task.available and task.strain not in STRAINING and not task.stand_in for task in plan.tasks):
        event("something is easy")
        assert not {strain[task] for task in kept} & STRAINING
    new = {task.task for task in plan.tasks if task.stage == "new" and not is_due_soon(task, plan)}
    easy = {task.task for task in plan.tasks if task.available and not task.stand_in}
    if easy - new:
        event("something is in hand")
        assert not kept & new
    assert all(task.factors.need == 1 for task in plan.tasks if task.due_days is None)


@given(requests(), st.integers(1, 20))
def test_a_shorter_gap_changes_nothing_of_that(sent: Sent, days: int) -> None:
    plan = plan_or_reject(away(sent, days) | {"policy": {}})
    assert not any("away for" in caution for caution in plan.cautions)


@given(requests())
def test_little_energy_never_plans_more_than_a_quarter(sent: Sent) -> None:
    circumstances = sent["circumstances"] | {"energy": "low"}
    plan = plan_or_reject(sent | {"circumstances": circumstances, "policy": {}, "history": []})
    assert plan.budget_seconds <= most(plan.usual_seconds)
