"""Windows: what a window holds, its rests, and the order of the day."""

from itertools import pairwise
from typing import Final

from bagatelle.model.plan import Step, TaskNumbers, WindowNumbers
from bagatelle.verify.figures import LONG_WINDOW_SECONDS, REST_SECONDS, STRETCH_SECONDS, left_free
from bagatelle.verify.subject import Subject
from bagatelle.verify.verdict import Group, Notebook

STRAIN_ORDER: Final = {"none": 0, "low": 0, "moderate": 1, "high": 2}
"""What comes first in a window; nothing and little count alike."""
_CLOSES: Final = 3
"""After all that a warm-down; then what no hand, lip or voice does, and of that a warm-down last."""


def check_windows(subject: Subject) -> Group:
    """Add up every window, look at its rests, and add up the day."""
    plan = subject.plan
    notebook = Notebook("windows", f"set-ups, doses and rests of {len(plan.windows)} window(s), the budget")
    for position, step in enumerate(plan.steps):
        notebook.expect(
            0 <= step.window < len(plan.windows),
            "unknown",
            f"/plan/steps/{position}/window",
            f"The step is in window {step.window}; there are {len(plan.windows)}, counted from 0.",
        )
    for position, (before, after) in enumerate(pairwise(plan.steps), start=1):
        notebook.expect(
            before.window <= after.window,
            "order",
            f"/plan/steps/{position}/window",
            f"A step of window {after.window} comes after one of window {before.window}.",
        )
    for index in range(len(plan.windows)):
        _check_window(notebook, subject, index)
    taken = sum(step.seconds + step.set_up_seconds for step in plan.steps if step.kind == "task")
    notebook.expect(
        taken <= plan.budget_seconds,
        "over-budget",
        "/plan/budget_seconds",
        f"Set-ups and doses take {taken} s; the budget is {plan.budget_seconds} s.",
    )
    return notebook.group()


def _check_window(notebook: Notebook, subject: Subject, index: int) -> None:
    window = subject.plan.windows[index]
    pointer = f"/plan/windows/{index}"
    steps = [step for step in subject.plan.steps if step.window == index]
    free = left_free(subject.plan.policy, window.seconds)
    notebook.equal(
        window.slack_seconds,
        free,
        "slack-seconds",
        f"{pointer}/slack_seconds",
        f"What stays free of a window of {window.seconds} s",
    )
    notebook.equal(
        window.rest_seconds,
        window.seconds - free - subject.room(window.seconds),
        "rest-seconds",
        f"{pointer}/rest_seconds",
        f"The rest of a window of {window.seconds} s",
    )
    taken = sum(step.seconds + step.set_up_seconds for step in steps)
    notebook.expect(
        taken <= window.seconds - free,
        "overfull",
        f"{pointer}/seconds",
        f"Set-ups, doses and rests take {taken} s; the window has {window.seconds} s, {free} s of them free.",
    )
    _check_rests(notebook, pointer, window, steps)


def _check_rests(notebook: Notebook, pointer: str, window: WindowNumbers, steps: list[Step]) -> None:
    """At most 25 minutes are played between rests.

    Three things excuse a longer stretch: it is a single unit; the window plays no longer than a short window
    may; the window has given up all the rest it has, earlier, at the borders of units.
    """
    rests = [step.seconds for step in steps if step.kind == "rest"]
    playing = sum(step.seconds + step.set_up_seconds for step in steps if step.kind == "task")
    left = window.rest_seconds
    for rest in rests:
        notebook.equal(rest, min(REST_SECONDS, left), "rest-length", pointer, "The length of a rest")
        left -= min(rest, left)
    if playing <= LONG_WINDOW_SECONDS or left == 0:
        return
    for seconds, units in _stretches(steps):
        notebook.expect(
            seconds <= STRETCH_SECONDS or units <= 1,
            "stretch",
            pointer,
            f"{seconds} s are played without a rest; expected at most {STRETCH_SECONDS} s.",
        )


def _stretches(steps: list[Step]) -> list[tuple[int, int]]:
    """Seconds of set-ups and playing, and the number of units, between rests."""
    stretches = [(0, 0)]
    for step in steps:
        seconds, units = stretches[-1]
        if step.kind == "rest":
            stretches.append((0, 0))
        else:
            stretches[-1] = (seconds + step.seconds + step.set_up_seconds, units + len(step.units))
    return stretches


def check_order(subject: Subject) -> Group:
    """In every window little strain comes before more, and what prepares before what strains.

    A warm-down comes after it all, then what is done at rest.
    """
    notebook = Notebook("order", "strain within each window, warm-up before strain")
    for (_, before), (position, after) in pairwise(subject.task_steps):
        if before.window != after.window:
            continue
        first, then = (subject.tasks[step.task or ""].numbers for step in (before, after))
        notebook.expect(
            _place(first) <= _place(then),
            "strain",
            f"/plan/steps/{position}",
            f"{after.task!r} ({then.strain} strain) comes after {before.task!r} ({first.strain} strain) in one "
            "window.",
        )
    if any(report.rule == "warm-up-before-strain" and report.kept for report in subject.plan.rules):
        _check_prepared(notebook, subject)
    return notebook.group()


def _place(numbers: TaskNumbers) -> int:
    """Where it stands in the order of a window."""
    closes = numbers.area == "warm-down"
    if numbers.at_rest and numbers.area != "warm-up":
        return _CLOSES + 1 + closes
    return _CLOSES if closes else STRAIN_ORDER[numbers.strain]


def _check_prepared(notebook: Notebook, subject: Subject) -> None:
    prepared = False
    for position, step in subject.task_steps:
        task = subject.tasks[step.task or ""]
        prepared = prepared or task.prepares
        if task.strains and not prepared and subject.something_prepares:
            notebook.fault(
                "unprepared",
                f"/plan/steps/{position}",
                f"{step.task!r} strains, nothing prepares before it, and the rule is said to be kept.",
            )
            return
