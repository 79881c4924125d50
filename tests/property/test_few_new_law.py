"""At most two new things on one short day, what was begun first; what is due, pinned or prepares is not counted."""

from bagatelle.model.plan import Plan, TaskNumbers
from hypothesis import event, given

from tests.strategies import Sent, plan_of, plan_or_reject, requests
from tests.unit.engine.numbers import own_task, request

MOST = 2  # common practice, no source


def counts(task: TaskNumbers, plan: Plan) -> bool:
    due = task.due_days is not None and 0 <= task.due_days <= plan.policy.near_days
    return task.stage == "new" and not due and task.pin not in {"always", "more"} and not task.prepares


@given(requests())
def test_there_are_two_new_things_at_most_and_perhaps_the_quickest(sent: Sent) -> None:
    plan = plan_or_reject(sent)
    available = [task for task in plan.tasks if task.available and not task.stand_in]
    new = {task.task for task in available if counts(task, plan)}
    quickest = min(available, key=lambda task: (task.set_up_seconds + task.units[0].seconds, task.task))
    assert len(new - {quickest.task}) <= MOST
    event(f"{len(new)} new")


def test_what_was_begun_comes_before_what_was_not() -> None:
    tasks = [
        own_task(name, 60, stage="new", set_up_seconds=0) for name in ("march", "polka", "song", "waltz")
    ]
    quick = own_task("scales", 50, area="technique", set_up_seconds=0)
    history = [{"task": "waltz", "date": "2027-02-28"}, {"task": "polka", "date": "2027-02-27"}]
    plan = plan_of(request(*tasks, quick, date="2027-03-01", history=history))
    left_out = {each.task: each.reasons[0].because for each in plan.left_out}
    assert {task.task for task in plan.tasks if task.available} == {"polka", "scales", "waltz"}
    assert left_out["march"] == left_out["song"] == "new: there is enough that is new today"


def test_what_is_asked_for_or_due_is_not_counted() -> None:
    tasks = [own_task(name, 60, stage="new") for name in ("march", "polka", "song")]
    asked = own_task("waltz", 60, stage="new", pin="more")
    due = own_task("tango", 60, stage="new", due="2027-03-05")
    plan = plan_of(request(*tasks, asked, due, date="2027-03-01"))
    assert {"waltz", "tango"} <= {task.task for task in plan.tasks if task.available}
