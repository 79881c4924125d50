"""Numbers: weights, chunks, floors, flags and totals follow from what the answer says of its tasks."""

import math
from collections import Counter

from bagatelle.model.plan import TaskNumbers
from bagatelle.model.vocabulary import IN_HAND, MUSIC_AREAS, PREPARING_AREAS, SHORT_AREAS, STRAINING
from bagatelle.verify.figures import Task, is_due_soon
from bagatelle.verify.subject import Subject
from bagatelle.verify.verdict import Group, Notebook

WEIGHT_TOLERANCE = 0.5e-6 + 1e-12
"""Weights are rounded to 6 decimals."""
SHARE_TOLERANCE = 0.5e-4 + 1e-12
"""The share is rounded to 4 decimals or more."""


def check_numbers(subject: Subject) -> Group:
    """Recompute what follows from the numbers of each task, and the totals of the plan."""
    notebook = Notebook("numbers", f"weights, chunks, floors and flags of {len(subject.tasks)} tasks, totals")
    for name, count in Counter(numbers.task for numbers in subject.plan.tasks).items():
        notebook.equal(count, 1, "twice", "/plan/tasks", f"The number of entries for the task {name!r}")
    for position, numbers in enumerate(subject.plan.tasks):
        pointer = f"/plan/tasks/{position}"
        _check_weight(notebook, pointer, numbers)
        _check_units(notebook, pointer, subject.tasks[numbers.task])
        _check_floor(notebook, pointer, subject, subject.tasks[numbers.task])
        _check_flags(notebook, pointer, subject, numbers)
    _check_totals(notebook, subject)
    return notebook.group()


def _check_weight(notebook: Notebook, pointer: str, numbers: TaskNumbers) -> None:
    factors = numbers.factors
    product = math.prod(
        (factors.stage, factors.concreteness, factors.need, factors.circumstances, factors.pin)
    )
    notebook.expect(
        abs(product - numbers.weight) <= WEIGHT_TOLERANCE,
        "weight",
        f"{pointer}/weight",
        f"The weight of {numbers.task!r} is {numbers.weight}; its factors multiply to {product:.6f}.",
    )


def _check_units(notebook: Notebook, pointer: str, task: Task) -> None:
    numbers = task.numbers
    names = [unit.id for unit in numbers.units]
    notebook.expect(
        bool(names) and len(set(names)) == len(names),
        "units",
        f"{pointer}/units",
        f"The units of {task.id!r} are {names}; expected at least one, each once.",
    )
    places = sorted(unit.place for unit in numbers.units)
    notebook.expect(
        places == list(range(len(places))),
        "places",
        f"{pointer}/units",
        f"The places of the units of {task.id!r} are {places}; expected each from 0 on, once.",
    )
    for position, unit in enumerate(numbers.units):
        notebook.expect(
            0 <= unit.music_seconds <= unit.seconds,
            "music-seconds",
            f"{pointer}/units/{position}/music_seconds",
            f"The notes of {unit.id!r} take {unit.music_seconds} s; the unit takes {unit.seconds} s.",
        )


def _check_floor(notebook: Notebook, pointer: str, subject: Subject, task: Task) -> None:
    numbers = task.numbers
    units = task.units_exactly(numbers.smallest_chunk_seconds)
    notebook.expect(
        units is not None and units > 0,
        "chunk",
        f"{pointer}/smallest_chunk_seconds",
        f"The chunk of {task.id!r} is {numbers.smallest_chunk_seconds} s; expected whole units.",
    )
    floor = task.floor_units(subject.plan.budget_seconds, subject.plan.floor_mode)
    notebook.equal(
        numbers.floor_seconds,
        task.dose_seconds[floor],
        "floor",
        f"{pointer}/floor_seconds",
        f"The floor of {task.id!r}",
    )


def _is_music(numbers: TaskNumbers, near_days: int) -> bool:
    return numbers.area in MUSIC_AREAS and (numbers.stage in IN_HAND or is_due_soon(numbers, near_days))


def _check_flags(notebook: Notebook, pointer: str, subject: Subject, numbers: TaskNumbers) -> None:
    near_days = subject.plan.policy.near_days
    due_soon = is_due_soon(numbers, near_days)
    preparing_area = numbers.area in PREPARING_AREAS
    easy = numbers.strain not in STRAINING and numbers.loudness != "loud"
    prepares = preparing_area and easy and not numbers.at_rest
    expected = {
        "prepares": prepares,
        "music": _is_music(numbers, near_days) and (due_soon or not subject.music_is_due_soon),
        "short_floor": numbers.area in SHORT_AREAS or due_soon or numbers.stand_in,
    }
    for flag, value in expected.items():
        notebook.equal(
            getattr(numbers, flag),
            value,
            flag.replace("_", "-"),
            f"{pointer}/{flag}",
            f"{flag} of {numbers.task!r}",
        )
    notebook.expect(
        not (numbers.available and numbers.pin == "never"),
        "never",
        f"{pointer}/available",
        f"{numbers.task!r} is available although its pin is never.",
    )


def _check_totals(notebook: Notebook, subject: Subject) -> None:
    plan = subject.plan
    usual = sum(numbers.usual_seconds for numbers in plan.tasks if numbers.task not in subject.stand_ins)
    usual += sum(problem.usual_seconds for problem in plan.plugin_problems or ())
    notebook.equal(plan.usual_seconds, usual, "usual", "/plan/usual_seconds", "The usual time")
    planned = sum(step.seconds + step.set_up_seconds for step in plan.steps if step.kind == "task")
    notebook.equal(plan.planned_seconds, planned, "planned", "/plan/planned_seconds", "The planned time")
    share = plan.budget_seconds / max(plan.usual_seconds, 1)
    notebook.expect(
        abs(plan.share - share) <= SHARE_TOLERANCE,
        "share",
        "/plan/share",
        f"The share is {plan.share}; the budget is {share:.4f} of the usual time.",
    )
