"""Bounds: numbers that no plan can have, on which the other checks would have no meaning or no end."""

import math
from typing import Final

from bagatelle.model.plan import Plan, TaskNumbers
from bagatelle.model.request import BLOCK_MINUTES_LIMIT, BLOCKS_LIMIT, TASKS_LIMIT
from bagatelle.verify.verdict import Group, Notebook

TASK_SECONDS: Final = 60 * BLOCK_MINUTES_LIMIT
DAY_SECONDS: Final = TASK_SECONDS * BLOCKS_LIMIT
# The catalogue's warm-up comes on top of the routine's own tasks.
TASKS: Final = TASKS_LIMIT * BLOCKS_LIMIT + 1


def check_bounds(plan: Plan) -> Group:
    """Look for what is missing altogether, not a number, or larger than any request allows."""
    notebook = Notebook("bounds", "nothing missing, nothing beyond what a request allows")
    curve, per_task = plan.policy.curve, plan.policy.seconds_per_task
    notebook.expect(
        math.isfinite(curve) and 0 < curve <= 100,
        "curve",
        "/plan/policy/curve",
        f"The curve is {curve}; expected more than 0, at most 100.",
    )
    notebook.expect(
        per_task > 0,
        "seconds-per-task",
        "/plan/policy/seconds_per_task",
        f"One task is allowed for each {per_task} s; expected more than 0 s.",
    )
    share, least = plan.policy.slack_share, plan.policy.least_slack_seconds
    notebook.expect(
        math.isfinite(share) and 0 <= share <= 0.5 and 0 <= least <= DAY_SECONDS,
        "slack",
        "/plan/policy/slack_share",
        f"{share} of a window, at least {least} s, are left free; expected up to a half.",
    )
    warm_up = plan.policy.own_warm_up_share
    notebook.expect(
        math.isfinite(warm_up) and 0 <= warm_up <= 1,
        "own-warm-up",
        "/plan/policy/own_warm_up_share",
        f"A warm-up may take {warm_up} of the playing time; expected 0 to 1.",
    )
    for pointer, seconds in _lengths(plan):
        notebook.expect(
            0 < seconds <= DAY_SECONDS, "seconds", pointer, f"{seconds} s; expected 1 s to {DAY_SECONDS} s."
        )
    notebook.expect(bool(plan.windows), "no-window", "/plan/windows", "There is no window; expected one.")
    notebook.expect(
        0 < len(plan.tasks) <= TASKS,
        "tasks",
        "/plan/tasks",
        f"{len(plan.tasks)} tasks; expected 1 to {TASKS}.",
    )
    for position, numbers in enumerate(plan.tasks):
        _check_task(notebook, f"/plan/tasks/{position}", numbers)
    return notebook.group()


def _lengths(plan: Plan) -> list[tuple[str, int]]:
    ladder = plan.ladder
    return [
        ("/plan/budget_seconds", plan.budget_seconds),
        ("/plan/usual_seconds", plan.usual_seconds),
        *((f"/plan/windows/{index}/seconds", each.seconds) for index, each in enumerate(plan.windows)),
        *(
            (f"/plan/ladder/prepared/{index}/budget_seconds", each.budget_seconds)
            for index, each in enumerate(ladder.prepared)
        ),
        *(
            (f"/plan/ladder/minutes/{index}/minutes", 60 * each.minutes)
            for index, each in enumerate(ladder.minutes)
        ),
    ]


def _check_task(notebook: Notebook, pointer: str, numbers: TaskNumbers) -> None:
    notebook.expect(
        bool(numbers.units),
        "no-unit",
        f"{pointer}/units",
        f"{numbers.task!r} has no unit; expected one at least.",
    )
    notebook.expect(
        numbers.usual_seconds <= TASK_SECONDS,
        "usual",
        f"{pointer}/usual_seconds",
        f"The usual time of {numbers.task!r} is {numbers.usual_seconds} s; expected at most {TASK_SECONDS} s.",
    )
    most = max(numbers.usual_seconds, *(unit.seconds for unit in numbers.units[:1]), 0)
    notebook.expect(
        numbers.largest_seconds <= most,
        "largest",
        f"{pointer}/largest_seconds",
        f"The largest dose of {numbers.task!r} is {numbers.largest_seconds} s; expected at most {most} s.",
    )
    notebook.expect(
        math.isfinite(numbers.weight) and 0 <= numbers.weight <= 1000,
        "weight",
        f"{pointer}/weight",
        f"The weight of {numbers.task!r} is {numbers.weight}; expected 0 to 1000.",
    )
