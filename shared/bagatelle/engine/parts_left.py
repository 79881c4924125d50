"""What a plan does without of what it keeps: named, so that nobody wonders where the trio or A major went."""

from collections.abc import Iterable, Sequence
from typing import Final

from bagatelle.engine.runs import in_runs
from bagatelle.engine.settled import SettledTask, SettledUnit
from bagatelle.model.plan import PartsLeft, Step
from bagatelle.model.text import Message
from bagatelle.model.vocabulary import FRESH_AREAS
from bagatelle.wording.render import Say

_NAMED: Final = 3
"""More are counted."""


def parts_left(tasks: Iterable[SettledTask], steps: Sequence[Step], say: Say) -> Iterable[PartsLeft]:
    """Of each task that has a step, the units that have none. Of what is taken afresh each day nothing is kept."""
    for task in tasks:
        played = {unit for step in steps if step.task == task.id for unit in step.units}
        if played and task.area not in FRESH_AREAS:
            left = sorted((unit for unit in task.units if unit.id not in played), key=lambda unit: unit.place)
            if left:
                yield _left(task, left, say)


def _left(task: SettledTask, units: Sequence[SettledUnit], say: Say) -> PartsLeft:
    labels = [unit.label if isinstance(unit.label, str) else say(unit.label) for unit in units]
    named = in_runs(labels)
    if len(named) > _NAMED + 1:
        named = (*named[:_NAMED], Message("engine.reason.others", {"count": len(named) - _NAMED}))
    return PartsLeft(
        task=task.id,
        units=tuple(unit.id for unit in units),
        message=say(Message("engine.parts-left", {"title": task.title, "units": named})),
    )
