"""Which units a task has, or had in some revision of its routine: what a log may name."""

from collections.abc import Iterable, Mapping
from uuid import UUID

import msgspec
from bagatelle.engine.own_task import OPEN_UNIT
from bagatelle.engine.placing import PlacedTask

from bagatelle_service.engine_questions import Ask, ExerciseInUse
from bagatelle_service.school.log_entries import LogContent
from bagatelle_service.school.routine_history import all_of, newest_of, tasks_of_student
from bagatelle_service.school.work import Work

KnownUnits = Mapping[UUID, frozenset[str]]
"""By task."""
_TaskAsItWas = tuple[UUID, PlacedTask]


def names_units(content: LogContent) -> bool:
    """Say whether it must be known which units the entry's task has."""
    return content.task is not None and bool(content.units)


async def units_of_tasks(work: Work, ask: Ask, student_id: UUID, entries: Iterable[LogContent]) -> KnownUnits:
    """Find out which units there are of the tasks of which entries name units.

    Earlier revisions are asked for only where the newest has not all that are named. Of an exercise that no loaded
    plugin takes with its settings no unit is known.

    :raises MissingError: where the school has no such student.
    :raises NotAllowedError: where the caller does not reach them.
    """
    student = await work.student(student_id)
    named: dict[UUID, set[str]] = {}
    for entry in entries:
        if entry.task is not None and entry.units:
            named.setdefault(UUID(entry.task), set()).update(entry.units)
    tasks = await tasks_of_student(work, student, named)
    newest = await newest_of(work, {task.routine_id for task in tasks.values()})
    found = await _units_of(
        ask,
        (
            (task.id, newest[task.routine_id].tasks[task.key])
            for task in tasks.values()
            if task.key in newest[task.routine_id].tasks
        ),
    )
    lacking = [task for task in tasks.values() if named[task.id] - found.get(task.id, frozenset())]
    if not lacking:
        return found
    earlier = await all_of(work, {task.routine_id for task in lacking})
    more = await _units_of(
        ask,
        (
            (task.id, revision.tasks[task.key])
            for task in lacking
            for revision in earlier[task.routine_id]
            if task.key in revision.tasks
        ),
    )
    return {**found, **more}


async def _units_of(ask: Ask, tasks: Iterable[_TaskAsItWas]) -> dict[UUID, frozenset[str]]:
    found: dict[UUID, set[str]] = {}
    asked: dict[bytes, list[UUID]] = {}
    for task_id, placed in tasks:
        task = placed.task
        if task.exercise is None:
            own = (passage.id for passage in task.passages)
            found.setdefault(task_id, set()).update(own if task.passages else (OPEN_UNIT,))
        else:
            used = ExerciseInUse(exercise=task.exercise, settings=task.settings)
            asked.setdefault(msgspec.json.encode(used, order="sorted"), []).append(task_id)
    if asked:
        answer = await ask("units", b"[" + b",".join(asked) + b"]")
        for task_ids, units in zip(
            asked.values(), msgspec.json.decode(answer, type=list[list[str]]), strict=True
        ):
            for task_id in task_ids:
                found.setdefault(task_id, set()).update(units)
    return {task_id: frozenset(units) for task_id, units in found.items()}
