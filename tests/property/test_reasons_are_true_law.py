"""What is said about a task that is left out is true of the plan beside it, by the plan's own numbers."""

import re
from collections import Counter

from bagatelle.model.plan import LeftOut, Plan, TaskNumbers
from hypothesis import event, given, settings

from tests.strategies import Sent, plan_or_reject, requests

MINUTES = r"(?:(\d+)(½)? minutes?|(half a minute)|(no time))"


def seconds_of(said: str) -> int:
    found = re.fullmatch(MINUTES, said)
    assert found is not None, said
    whole, half, only_half, _ = found.groups()
    return int(whole or 0) * 60 + (30 if half or only_half else 0)


class Read:
    """A plan, with what its own numbers say about what is kept."""

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        self.tasks = {task.task: task for task in plan.tasks}
        played = {step.task for step in plan.steps}
        self.kept = [task for task in plan.tasks if task.task in played]
        self.rivals = [task for task in self.kept if not task.prepares]
        spent = Counter[int]()
        for step in plan.steps:
            if step.task is not None:
                spent[step.window] += step.seconds + step.set_up_seconds
        self.left = [
            window.seconds - window.rest_seconds - window.slack_seconds - spent[position]
            for position, window in enumerate(plan.windows)
        ]
        self.day_left = min(sum(self.left), plan.budget_seconds - sum(spent.values()))
        self.rooms = [window.seconds - window.rest_seconds - window.slack_seconds for window in plan.windows]

    def is_near(self, task: TaskNumbers) -> bool:
        return task.due_days is not None and 0 <= task.due_days <= self.plan.policy.near_days


@given(requests())
@settings(max_examples=200)
def test_every_reason_to_leave_a_task_out_is_true(sent: Sent) -> None:
    read = Read(plan_or_reject(sent))
    for left in read.plan.left_out:
        check_date(read, left)
        for reason in left.reasons:
            event(reason.factor)
            check_comparison(read, left, reason.because)
            check_count(read, left, reason.because)
            check_room(read, reason.because)


def check_date(read: Read, left: LeftOut) -> None:
    """What is due soon and was in the search names its day first, and something that is kept."""
    task = read.tasks[left.task]
    first = left.reasons[0]
    assert (first.factor == "due") == (task.available and read.is_near(task) and bool(read.rivals))
    if first.factor != "due":
        return
    assert first.value == task.due_days
    day = {0: "due today", 1: "due tomorrow"}.get(task.due_days or 0, f"due in {task.due_days} days")
    assert first.because.startswith(day)
    before = [rival for rival in read.rivals if read.is_near(rival)] or read.rivals
    assert any(rival.title in first.because for rival in before)


def check_comparison(read: Read, left: LeftOut, because: str) -> None:
    """What is said of what is kept holds of all of it."""
    task = read.tasks[left.task]
    if because.startswith("what is kept"):
        assert all(rival.factors.need > task.factors.need for rival in read.rivals)
    if because == "what is kept is due soon":
        assert all(map(read.is_near, read.rivals))
        assert not read.is_near(task)
    if because == "what is kept has waited longer for its turn":
        assert not any(map(read.is_near, read.rivals))
    if because.startswith("new:"):
        assert all(other.stage != "new" for other in read.kept)


def check_count(read: Read, left: LeftOut, because: str) -> None:
    """So many things are kept as it says, the warm-up apart where it says so."""
    found = re.match(r"today holds (one|\d+) things?( besides the warm-up)?$", because)
    if not found:
        return
    limit = 1 if found[1] == "one" else int(found[1])
    prepares = any(task.prepares for task in read.kept)
    assert bool(found[2]) == prepares
    assert len(read.kept) - prepares >= limit
    assert prepares or not read.tasks[left.task].prepares


def check_room(read: Read, because: str) -> None:
    """What it would take is more than there is."""
    found = re.search(rf"takes ({MINUTES}),", because)
    if not found:
        return
    needed = seconds_of(found[1])
    if because.endswith("left"):
        room = read.day_left
    elif because.endswith("left in the longest gap"):
        room = max(read.left)
    else:
        room = max(read.rooms) if "longest gap" in because else min(sum(read.rooms), read.plan.budget_seconds)
    said = re.search(rf"(?:with|holds) ({MINUTES})(?: left.*)?$", because)
    assert said is not None, because
    assert seconds_of(said[1]) == room // 30 * 30
    assert needed > room
