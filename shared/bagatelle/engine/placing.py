"""Where each task of a request stands: its block, its pointer, its usual minutes."""

import math
from collections import Counter
from collections.abc import Sequence

from msgspec import Struct

from bagatelle.engine.identity import block_ids
from bagatelle.model.errors import FieldError
from bagatelle.model.request import Block, Routine, Task

LEAST_SHARED_MINUTES = 0.5
"""A task without minutes gets at least this of what its block has left."""


class PlacedTask(Struct, frozen=True, kw_only=True, gc=False):
    """A task with its place in the request."""

    task: Task
    block: Block
    block_id: str
    block_position: int
    pointer: str
    minutes: float
    alone: bool
    """Whether it stands for a block that lists no tasks."""

    @property
    def title(self) -> str:
        """Its own, else its block's."""
        return self.task.title or self.block.title


def place_tasks(routine: Routine, errors: list[FieldError]) -> list[PlacedTask]:
    """Every task of the routine in its order of listing; what is wrong is added to `errors`."""
    placed: list[PlacedTask] = []
    ids = block_ids(routine.blocks)
    given = Counter(block.id for block in routine.blocks if block.id is not None)
    for position, block in enumerate(routine.blocks):
        pointer = f"/routine/blocks/{position}"
        if block.id is not None and given[block.id] > 1:
            errors.append(repeated_id(f"{pointer}/id", block.id, "block"))
        placed.extend(_tasks_of(block, ids[position], position, pointer, errors))
    return placed


def repeated_id(pointer: str, repeated: str, kind: str) -> FieldError:
    """The error of an id that two blocks or two tasks have."""
    return FieldError(
        pointer=pointer,
        message=f"The {kind} id {repeated!r} stands in the routine more than once.",
        accepted=f"An id that no other {kind} of the routine has.",
    )


def _tasks_of(
    block: Block, block_id: str, position: int, pointer: str, errors: list[FieldError]
) -> list[PlacedTask]:
    tasks = block.tasks or (Task(id=block.id, title=block.title),)
    shared = _shared_minutes(block, tasks)
    placed = []
    for index, task in enumerate(tasks):
        task_pointer = f"{pointer}/tasks/{index}" if block.tasks else pointer
        minutes = task.minutes if task.minutes is not None else shared
        if minutes is None:
            errors.append(_minutes_missing(task_pointer))
            continue
        placed.append(
            PlacedTask(
                task=task,
                block=block,
                block_id=block_id,
                block_position=position,
                pointer=task_pointer,
                minutes=minutes,
                alone=not block.tasks,
            )
        )
    return placed


def _shared_minutes(block: Block, tasks: Sequence[Task]) -> float | None:
    """What each task without minutes of its own gets of its block's."""
    without = [task for task in tasks if task.minutes is None]
    if not without or block.minutes is None:
        return None
    # Exact, then rounded once: the same in any order, and on Pythons that add fractions differently.
    left = block.minutes - math.fsum(task.minutes or 0 for task in tasks)
    return max(left / len(without), LEAST_SHARED_MINUTES)


def _minutes_missing(pointer: str) -> FieldError:
    return FieldError(
        pointer=f"{pointer}/minutes",
        message="The usual minutes are missing.",
        accepted="Minutes of the task, or of its block, from 0.5 to 600.",
    )
