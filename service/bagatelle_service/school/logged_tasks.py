"""From a task to what is stored of it: as the routine had it on that day."""

from collections.abc import Iterable, Sequence
from uuid import UUID

from bagatelle import Instruments
from bagatelle.engine.own_task import likely_area
from bagatelle.engine.placing import PlacedTask
from bagatelle.model.errors import FieldError
from bagatelle.model.vocabulary import Area

from bagatelle_service.database.tables import Student
from bagatelle_service.school.logged_things import GivenEntry, Thing, unknown_units, version_text
from bagatelle_service.school.logged_units import KnownUnits
from bagatelle_service.school.routine_history import (
    KnownTask,
    RoutineThen,
    all_of,
    held_on,
    newest_of,
    tasks_of_student,
    was_there,
)
from bagatelle_service.school.work import Work


async def things_of_tasks(
    work: Work,
    student: Student,
    entries: Sequence[GivenEntry],
    known_units: KnownUnits,
    instruments: Instruments,
    wrong: list[FieldError],
) -> dict[UUID, Thing]:
    """Find what entries by task are of, by the entry's id; what is wrong with them is added to `wrong`."""
    ids = {entry.id: UUID(entry.content.task) for entry in entries if entry.content.task is not None}
    tasks = await tasks_of_student(work, student, set(ids.values())) if ids else {}
    known = [(entry, tasks[ids[entry.id]]) for entry in entries if ids[entry.id] in tasks]
    routines = await _routines_then(work, student, known)
    wrong.extend(
        entry.wrong("task", "the student has no task of this id", "the id of a task, as a routine shows it")
        for entry in entries
        if ids[entry.id] not in tasks
    )
    found = {}
    for entry, task in known:
        wrong.extend(unknown_units(entry, known_units.get(task.id, ()), "task"))
        found[entry.id] = _thing_of(entry, task, routines[entry.id], instruments)
    return found


async def _routines_then(
    work: Work, student: Student, known: Iterable[tuple[GivenEntry, KnownTask]]
) -> dict[UUID, RoutineThen]:
    """The revision that each entry is of, by the entry's id. Most often it is the newest, so that is read first."""
    newest = await newest_of(work, {task.routine_id for _, task in known})
    found: dict[UUID, RoutineThen] = {}
    late = []
    for entry, task in known:
        routine = newest[task.routine_id]
        if task.key in routine.tasks and was_there(routine, entry.day, student.time_zone):
            found[entry.id] = routine
        else:
            late.append((entry, task))
    if late:
        revisions = await all_of(work, {task.routine_id for _, task in late})
        for entry, task in late:
            found[entry.id] = held_on(revisions[task.routine_id], task.key, entry.day, student.time_zone)
    return found


def _thing_of(entry: GivenEntry, task: KnownTask, routine: RoutineThen, instruments: Instruments) -> Thing:
    placed = routine.tasks[task.key]
    exercise = placed.task.exercise
    version = None
    if exercise is not None and instruments.has(exercise):
        plugin = instruments.plugin_of(exercise)
        version = version_text(plugin.version, plugin.hash)
    return Thing(
        task_id=task.id,
        routine_id=task.routine_id,
        routine_revision=routine.number,
        exercise=exercise,
        exercise_version=version,
        area=_area_of(placed, instruments),
        units=entry.content.units or (),
    )


def _area_of(placed: PlacedTask, instruments: Instruments) -> Area | None:
    """As a plan would have it; none where that is the plugin's word, and the plugin is gone."""
    task = placed.task
    if task.exercise is None:
        return task.area or placed.block.area or likely_area(placed.title)
    if instruments.has(task.exercise):
        return task.area or instruments.exercise(task.exercise).area
    return task.area
