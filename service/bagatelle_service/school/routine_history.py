"""What a routine's tasks were, revision by revision, as logs ask for it."""

from collections.abc import Collection, Mapping
from datetime import date, datetime
from uuid import UUID

from bagatelle.engine.placing import PlacedTask, place_tasks
from bagatelle.progress.days import day_of
from msgspec import Struct
from sqlalchemy import and_, select, tuple_

from bagatelle_service.database.tables import Routine, RoutineRevision, StoredTask, Student
from bagatelle_service.school.routine_document import read_document
from bagatelle_service.school.work import Work


class KnownTask(Struct, frozen=True, kw_only=True):
    """A task of a student, whether a routine still has it or not."""

    id: UUID
    key: str
    routine_id: UUID


class RoutineThen(Struct, frozen=True, kw_only=True):
    """A routine as it stood."""

    number: int
    made_at: datetime
    tasks: Mapping[str, PlacedTask]
    """By key."""


async def tasks_of_student(work: Work, student: Student, ids: Collection[UUID]) -> dict[UUID, KnownTask]:
    """Find those of the tasks that are the student's."""
    statement = (
        select(StoredTask.id, StoredTask.key, StoredTask.routine_id)
        .join(Routine, Routine.id == StoredTask.routine_id)
        .where(StoredTask.id.in_(ids), Routine.student_id == student.id)
    )
    rows = await work.session.execute(statement)
    return {row.id: KnownTask(id=row.id, key=row.key, routine_id=row.routine_id) for row in rows}


async def task_ids_of(work: Work, routine_ids: Collection[UUID]) -> dict[tuple[UUID, str], UUID]:
    """Find the id of each task of some routines, by routine and key."""
    statement = select(StoredTask.id, StoredTask.key, StoredTask.routine_id)
    rows = await work.session.execute(statement.where(StoredTask.routine_id.in_(routine_ids)))
    return {(row.routine_id, row.key): row.id for row in rows}


async def newest_of(work: Work, routine_ids: Collection[UUID]) -> dict[UUID, RoutineThen]:
    """Read routines as they stand."""
    of_routine = and_(Routine.id == RoutineRevision.routine_id, Routine.revision == RoutineRevision.number)
    statement = select(RoutineRevision).join(Routine, of_routine).where(Routine.id.in_(routine_ids))
    return {row.routine_id: _then(row) for row in await work.session.scalars(statement)}


async def revisions_of(
    work: Work, numbers: Collection[tuple[UUID, int]]
) -> dict[tuple[UUID, int], RoutineThen]:
    """Read revisions of routines, by routine and number."""
    statement = select(RoutineRevision).where(
        tuple_(RoutineRevision.routine_id, RoutineRevision.number).in_(numbers)
    )
    return {(row.routine_id, row.number): _then(row) for row in await work.session.scalars(statement)}


async def all_of(work: Work, routine_ids: Collection[UUID]) -> dict[UUID, list[RoutineThen]]:
    """Read every revision of routines, the oldest first."""
    statement = select(RoutineRevision).where(RoutineRevision.routine_id.in_(routine_ids))
    found: dict[UUID, list[RoutineThen]] = {}
    for row in await work.session.scalars(statement.order_by(RoutineRevision.number)):
        found.setdefault(row.routine_id, []).append(_then(row))
    return found


def held_on(revisions: list[RoutineThen], key: str, day: date, time_zone: str) -> RoutineThen:
    """Choose the revision that held on a day and has a task: else the last before it, else the first after it.

    :param revisions: the oldest first; one of them at least has the task.
    """
    having = [revision for revision in revisions if key in revision.tasks]
    before = [revision for revision in having if was_there(revision, day, time_zone)]
    return before[-1] if before else having[0]


def was_there(revision: RoutineThen, day: date, time_zone: str) -> bool:
    """Say whether a revision was made before a day of the student's was over."""
    return day_of(revision.made_at, time_zone) <= day


def _then(row: RoutineRevision) -> RoutineThen:
    document = read_document(row.body)
    placed = place_tasks(document.routine, [])
    tasks = {place.key: task for place, task in zip(document.tasks, placed, strict=True)}
    return RoutineThen(number=row.number, made_at=row.created_at, tasks=tasks)
