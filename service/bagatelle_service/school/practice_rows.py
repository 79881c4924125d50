"""Rows about one student's practice, as progress takes them; found by the student, and no more than is needed."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from typing import cast
from uuid import UUID

import msgspec
from bagatelle.model.progress import DaysOff, LogEntry, LogKind, SheetMade, SheetStep
from bagatelle.model.vocabulary import Area
from bagatelle.progress.days import day_of
from msgspec import Struct
from sqlalchemy import func, select

from bagatelle_service.database import tables
from bagatelle_service.database.tables import AnsweredOffer, PreparedPlan, Routine, Student
from bagatelle_service.school.work import Work


class StoredTask(Struct, frozen=True, kw_only=True):
    """A task as it is stored, whether its routine still has it or not."""

    id: UUID
    key: str
    routine_id: UUID
    since: date
    current: bool


class _Window(Struct, frozen=True):
    seconds: int


class _Step(Struct, frozen=True):
    id: str
    seconds: int
    task: str | None = None


class _Sheet(Struct, frozen=True):
    """What progress asks of a sheet."""

    kind: str
    windows: tuple[_Window, ...]
    steps: tuple[_Step, ...]


async def read_first_day(work: Work, student: Student) -> date:
    """The day on which the student came in, or of the first log where that is earlier: none before it is a gap."""
    came_in = day_of(student.created_at, student.time_zone)
    log = tables.LogEntry
    statement = select(func.min(log.day)).where(log.student_id == student.id, log.removed_at.is_(None))
    logged = await work.session.scalar(statement)
    return came_in if logged is None else min(came_in, logged)


async def read_tasks(work: Work, student: Student) -> Sequence[StoredTask]:
    """Read the tasks of all routines that a student has, or had."""
    task = tables.StoredTask
    own_routine = (Routine.school_id == task.school_id) & (Routine.id == task.routine_id)
    statement = (
        select(task.id, task.key, task.routine_id, task.created_at, task.removed_at, Routine.archived_at)
        .join(Routine, own_routine)
        .where(Routine.student_id == student.id)
    )
    return [
        StoredTask(
            id=task_id,
            key=key,
            routine_id=routine_id,
            since=day_of(created_at, student.time_zone),
            current=removed_at is None and archived_at is None,
        )
        for task_id, key, routine_id, created_at, removed_at, archived_at in await work.session.execute(
            statement
        )
    ]


async def read_entries(work: Work, student_id: UUID, first: date, last: date) -> tuple[LogEntry, ...]:
    """Read the logs of some days, both ends among them, but for those that were removed."""
    log = tables.LogEntry
    statement = select(
        log.id,
        log.day,
        log.kind,
        log.task_id,
        log.area,
        log.seconds,
        log.units,
        log.step,
        log.done_when_met,
    ).where(log.student_id == student_id, log.day >= first, log.day <= last, log.removed_at.is_(None))
    return tuple(
        LogEntry(
            id=str(entry_id),
            day=day,
            kind=cast("LogKind", kind),
            task=None if task_id is None else str(task_id),
            area=cast("Area | None", area),
            seconds=seconds,
            units=msgspec.json.decode(units, type=tuple[str, ...]),
            step=step,
            done_when_met=done_when_met,
        )
        for entry_id, day, kind, task_id, area, seconds, units, step, done_when_met in (
            await work.session.execute(statement)
        )
    )


async def read_sheets(
    work: Work, student_id: UUID, first: date, last: date, tasks: Iterable[StoredTask]
) -> tuple[SheetMade, ...]:
    """A student's sheets; steps name tasks by keys, which are those of the routine that the sheet was made from."""
    sheet = tables.DaySheet
    own_plan = (PreparedPlan.school_id == sheet.school_id) & (PreparedPlan.id == sheet.plan_id)
    statement = (
        select(sheet.day, sheet.body, PreparedPlan.routine_id)
        .join(PreparedPlan, own_plan)
        .where(sheet.student_id == student_id, sheet.day >= first, sheet.day <= last)
    )
    ids = {(task.routine_id, task.key): str(task.id) for task in tasks}
    return tuple(
        _sheet_made(day, msgspec.json.decode(body, type=_Sheet), routine_id, ids)
        for day, body, routine_id in await work.session.execute(statement)
    )


def _sheet_made(day: date, sheet: _Sheet, routine_id: UUID, ids: Mapping[tuple[UUID, str], str]) -> SheetMade:
    return SheetMade(
        day=day,
        given_seconds=sum(window.seconds for window in sheet.windows),
        plan_kind=sheet.kind,
        # The warm-up that stands in is no task of the routine, and goes by its own name.
        steps=tuple(
            SheetStep(id=step.id, task=ids.get((routine_id, step.task), step.task), seconds=step.seconds)
            for step in sheet.steps
            if step.task is not None
        ),
    )


async def read_days_off(work: Work, student_id: UUID) -> DaysOff:
    """Read the days on which nothing is meant to be played."""
    row = await work.session.get(tables.DaysOff, (work.school_id, student_id))
    return DaysOff() if row is None else msgspec.json.decode(row.body, type=DaysOff)


async def read_answered(work: Work, student_id: UUID) -> frozenset[str]:
    """Read the keys of the offers that were answered."""
    statement = select(AnsweredOffer.key).where(AnsweredOffer.student_id == student_id)
    return frozenset(await work.session.scalars(statement))
