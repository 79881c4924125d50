"""What is said about a task that is left out is true of the plan beside it, by the plan's own numbers."""

import re
from collections import Counter
from datetime import date

from bagatelle.model.plan import LeftOut, Plan, Step, TaskNumbers
from bagatelle.model.vocabulary import STRAINING
from hypothesis import event, given, settings

from tests.strategies import DAY, Sent, plan_or_reject, requests

IN_WORDS = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")
MINUTES = r"(?:(\d+)(½)? minutes?|(half a minute)|(no time))"


def seconds_of(said: str) -> int:
    found = re.fullmatch(MINUTES, said)
    assert found is not None, said
    whole, half, only_half, _ = found.groups()
    return int(whole or 0) * 60 + (30 if half or only_half else 0)


class Read:
    """A plan, with what its own numbers and the history say about what is kept."""

    def __init__(self, sent: Sent, plan: Plan) -> None:
        self.plan = plan
        self.day: Sent = sent["circumstances"]
        self.last_done: dict[str, str] = {}
        for entry in sent["history"]:
            if entry["date"] < DAY:
                self.last_done[entry["task"]] = max(entry["date"], self.last_done.get(entry["task"], ""))
        self.tasks = {task.task: task for task in plan.tasks}
        played = {step.task for step in plan.steps}
        self.kept = [task for task in plan.tasks if task.task in played]
        self.rivals = [task for task in self.kept if not task.prepares]
        self.undated = [rival for rival in self.rivals if not self.is_near(rival)]
        self.forms = {step.task: form_of(step) for step in plan.steps}
        self.seconds, spent = Counter[str](), Counter[int]()
        for step in plan.steps:
            if step.task is not None:
                self.seconds[step.task] += step.seconds
                spent[step.window] += step.seconds + step.set_up_seconds
        self.left = [
            window.seconds - window.rest_seconds - window.slack_seconds - spent[position]
            for position, window in enumerate(plan.windows)
        ]
        self.day_left = min(sum(self.left), plan.budget_seconds - sum(spent.values()))
        self.rooms = [window.seconds - window.rest_seconds - window.slack_seconds for window in plan.windows]

    def is_near(self, task: TaskNumbers) -> bool:
        return task.due_days is not None and 0 <= task.due_days <= self.plan.policy.near_days

    def days_since(self, task: TaskNumbers) -> int | None:
        last = self.last_done.get(task.task)
        return None if last is None else (date.fromisoformat(DAY) - date.fromisoformat(last)).days

    def is_done_before(self, rival: TaskNumbers, task: TaskNumbers) -> bool:
        """Whether it was done longer ago, as far as that is known of it."""
        days, rival_days = self.days_since(task), self.days_since(rival)
        return days is not None and (rival_days is None or rival_days > days)


def form_of(step: Step) -> str:
    forms = [reason.because for reason in step.reasons if reason.factor == "circumstances"]
    return forms[0] if forms else "usual"


@given(requests())
@settings(max_examples=200)
def test_every_reason_to_leave_a_task_out_is_true(sent: Sent) -> None:
    read = Read(sent, plan_or_reject(sent))
    for left in read.plan.left_out:
        check_date(read, left)
        for reason in left.reasons:
            event(reason.factor)
            check_comparison(read, left, reason.because)
            check_day(read, left, reason.because)
            check_count(read, left, reason.because)
            check_room(read, left, reason.because)


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
    near = [rival for rival in read.rivals if read.is_near(rival)]
    goes_first = 2 * sum(read.seconds[rival.task] for rival in near) > read.seconds.total()
    assert ("goes first to" in first.because) == goes_first
    assert any(rival.title in first.because for rival in (near if goes_first else read.rivals))


def check_comparison(read: Read, left: LeftOut, because: str) -> None:
    """What is said of what is kept holds of all of it."""
    task = read.tasks[left.task]
    if because.startswith("what is kept"):
        assert all(rival.factors.need > task.factors.need for rival in read.rivals)
        assert ("besides the warm-up" in because) == any(kept.prepares for kept in read.kept)
        check_what_is_due(read, task, because)
    if because.endswith("has waited longer for its turn") or because == "done lately enough to wait":
        assert read.days_since(task) is not None
        assert all(read.is_done_before(rival, task) for rival in read.undated)
    if because.endswith("further past its usual turn"):
        assert all(rival.factors.need > 1 for rival in read.undated)
    if because.endswith("done lately enough to wait"):
        assert task.factors.need < 1
    if because.startswith("new: keep"):
        assert all(other.stage != "new" for other in read.kept)


def check_what_is_due(read: Read, task: TaskNumbers, because: str) -> None:
    """It is said to be due where some of it is, and all of it is where nothing else is said."""
    is_all_due = because.endswith(("is due soon, and comes first", "is due sooner"))
    assert is_all_due == (not read.undated)
    assert ("due" in because) == any(map(read.is_near, read.rivals))
    if because.endswith("is due soon, and comes first"):
        assert not read.is_near(task)
    if because.endswith("is due sooner"):
        assert all((rival.due_days or 0) < (task.due_days or 0) for rival in read.rivals)


def check_day(read: Read, left: LeftOut, because: str) -> None:
    """What the day holds against it, it holds against some of what is kept not, and against none of it more."""
    task = read.tasks[left.task]
    if because == "hard on the body, and there is little energy today":
        assert read.day["energy"] == "low"
        assert task.strain in STRAINING
        assert any(kept.strain not in STRAINING for kept in read.kept)
    elif because.startswith("today it could only be done"):
        assert "usual" in [read.forms[kept.task] for kept in read.kept]
        assert ("in the head" not in because) or (task.strain, task.loudness) == ("none", "silent")
    elif because == "it is best done whole, and there is little focus today":
        assert read.day["focus"] == "low"
    else:
        return
    assert task.factors.circumstances < 1
    others = [kept.factors.circumstances for kept in read.kept]
    assert task.factors.circumstances <= min(others)
    assert task.factors.circumstances < max(others)


def check_count(read: Read, left: LeftOut, because: str) -> None:
    """So many things are kept as it says, the warm-up apart where it says so."""
    found = re.match(r"enough for today: (\w+) things?( besides the warm-up)?$", because)
    if not found:
        return
    limit = IN_WORDS.index(found[1]) + 1 if found[1] in IN_WORDS else int(found[1])
    prepares = any(task.prepares for task in read.kept)
    assert bool(found[2]) == prepares
    assert len(read.kept) - prepares >= limit
    assert prepares or not read.tasks[left.task].prepares


def check_room(read: Read, left: LeftOut, because: str) -> None:
    """What it would take is more than there is, and is the least of it only where it is its smallest chunk."""
    found = re.search(rf"(?:takes|wants|time,) ({MINUTES})(, getting ready included)?, (.*)$", because)
    if not found:
        return
    needed, said = seconds_of(found[1]), found[found.re.groups]
    task = read.tasks[left.task]
    playing = min(sum(read.rooms), read.plan.budget_seconds)
    check_least(read, task, because, needed)
    if not said.startswith("with "):
        room = max(read.rooms) if said.startswith("and the longest gap holds ") else playing
        left_said = said.partition(" holds ")[2]
    else:
        assert ("left to fill" in said) == any(window.slack_seconds for window in read.plan.windows)
        in_a_gap = " gap" in said
        room = max(read.left) if in_a_gap else read.day_left
        nothing = re.match(r"with (no time left|nothing left to fill)", said)
        some = re.match(rf"with (?:at most )?({MINUTES}) left", said)
        assert nothing or some, said
        left_said = "no time" if nothing or some is None else some[1]
        if found[found.re.groups - 1]:
            assert task.set_up_seconds > 0
    assert seconds_of(left_said) == room // 30 * 30
    assert needed > room


def check_least(read: Read, task: TaskNumbers, because: str, needed: int) -> None:
    """The least of it is its smallest chunk; else it is the floor, and said to be a half where it is about that."""
    if because.startswith("the least of it"):
        by_the_unit = read.plan.floor_mode == "unit"
        assert ("worth doing" in because) <= (not by_the_unit)
        least = task.units[0].seconds if by_the_unit else task.smallest_chunk_seconds
        assert needed == -(-(least + task.set_up_seconds) // 30) * 30
        return
    cost = task.floor_seconds + task.set_up_seconds
    assert needed == -(-cost // 30) * 30
    assert task.floor_seconds > task.smallest_chunk_seconds
    if because.startswith("it wants about half of its usual time"):
        assert 0.4 <= cost / task.usual_seconds <= 0.5
    elif because.startswith("it wants about half of today's time"):
        assert 0.4 * min(sum(read.rooms), read.plan.budget_seconds) <= cost <= read.plan.budget_seconds / 2
    else:
        assert because.startswith("on such a day it wants")
