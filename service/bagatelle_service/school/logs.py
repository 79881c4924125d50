"""Logs: what a student did, sent by clients under ids of their own, so that what comes twice is stored once.

An entry that was removed leaves its id behind, and the date of the removal: so a phone that was offline does not
bring it back. Nothing else of it is kept.
"""

from collections.abc import Mapping
from datetime import UTC, date, datetime, time
from typing import Any
from uuid import UUID

from bagatelle import Instruments
from bagatelle.model.progress import LogKind
from msgspec import Struct
from sqlalchemy import select, tuple_

from bagatelle_service.database.tables import LogEntry, Student
from bagatelle_service.school.answers import Made, made
from bagatelle_service.school.errors import ChangedMeanwhileError, MissingError, RemovedError, TakenError
from bagatelle_service.school.log_entries import (
    LogContent,
    LogEntriesAnswer,
    fingerprint_of,
    log_entry_answer,
)
from bagatelle_service.school.log_rows import SentEntry, rows_of
from bagatelle_service.school.logged_units import KnownUnits
from bagatelle_service.school.pages import Page, cursor_of
from bagatelle_service.school.secrets import same
from bagatelle_service.school.work import Work


class WantedLogEntries(Struct, frozen=True, kw_only=True):
    """Which entries are wanted."""

    page: Page
    first: date | None = None
    last: date | None = None
    task_id: UUID | None = None
    kind: LogKind | None = None


async def put_log_entry(
    work: Work,
    student_id: UUID,
    entry_id: UUID,
    content: LogContent,
    instruments: Instruments,
    known_units: KnownUnits,
) -> Made:
    """Store an entry, or correct it; the same content again changes nothing.

    :raises MissingError: where the school has no such student.
    :raises NotAllowedError: where the caller does not reach them.
    :raises TakenError: where an entry of another student has the id.
    :raises RemovedError: where the entry was removed.
    :raises NoMatchGivenError: where other content is stored, and the request does not say that it corrects that.
    :raises ChangedMeanwhileError: where it corrects another revision than the newest, or one that is not there.
    :raises InvalidInputError: where anything is wrong with the entry.
    """
    student = await work.hold_student(student_id)
    row = await work.session.get(LogEntry, (work.school_id, entry_id))
    if row is None and (work.any_revision or work.given_revisions is not None):
        raise ChangedMeanwhileError("There is no entry of this id yet. Without If-Match it is stored.")
    if row is not None:
        _refuse_unusable(row, student)
        if same(row.fingerprint or b"", fingerprint_of(content)):
            return _shown(row)
        work.expect(row.revision)
    sent = SentEntry(pointer="", id=entry_id, content=content)
    (columns,) = await rows_of(work, student, [sent], instruments, known_units)
    if row is None:
        return await _made(work, student, columns)
    for name, value in columns.items():
        setattr(row, name, value)
    row.revision += 1
    await work.session.flush()
    return _shown(row)


async def show_log_entry(work: Work, student_id: UUID, entry_id: UUID) -> Made:
    """Show an entry.

    :raises MissingError: where the school has no such student, or the student no such entry.
    :raises NotAllowedError: where the caller does not reach them.
    :raises RemovedError: where the entry was removed.
    """
    return _shown(await _find(work, await work.student(student_id), entry_id))


async def remove_log_entry(work: Work, student_id: UUID, entry_id: UUID) -> None:
    """Remove an entry: its id stays used, and nothing else of it is kept.

    :raises MissingError: where the school has no such student, or the student no such entry.
    :raises NotAllowedError: where the caller does not reach them.
    :raises RemovedError: where the entry was removed before.
    :raises NoMatchGivenError: where the request does not say which revision it means.
    :raises ChangedMeanwhileError: where it means another than the newest.
    """
    row = await _find(work, await work.hold_student(student_id), entry_id)
    work.expect(row.revision)
    row.task_id = row.routine_id = row.routine_revision = None
    row.exercise = row.exercise_version = row.area = row.step = None
    row.done_when_met = row.fingerprint = None
    row.kind, row.units, row.seconds = "removed", "[]", 0
    # The retention goes by it: what an offline phone still sends must not be younger than what is left here.
    row.day = max(row.day, work.now.date())
    row.removed_at = work.now
    row.revision += 1
    await work.session.flush()


async def list_log_entries(work: Work, student_id: UUID, wanted: WantedLogEntries) -> Made:
    """List a student's entries by day and id, without those that were removed.

    :raises MissingError: where the school has no such student.
    :raises NotAllowedError: where the caller does not reach them.
    """
    student = await work.student(student_id)
    statement = select(LogEntry).where(LogEntry.student_id == student.id, LogEntry.removed_at.is_(None))
    if wanted.first is not None:
        statement = statement.where(LogEntry.day >= wanted.first)
    if wanted.last is not None:
        statement = statement.where(LogEntry.day <= wanted.last)
    if wanted.task_id is not None:
        statement = statement.where(LogEntry.task_id == wanted.task_id)
    if wanted.kind is not None:
        statement = statement.where(LogEntry.kind == wanted.kind)
    if wanted.page.after is not None:
        # The day stands in the cursor in a moment's place.
        moment, last_id = wanted.page.after
        statement = statement.where(tuple_(LogEntry.day, LogEntry.id) > (moment.date(), last_id))
    statement = statement.order_by(LogEntry.day, LogEntry.id).limit(wanted.page.limit + 1)
    found = (await work.session.scalars(statement)).all()
    shown = found[: wanted.page.limit]
    following = None
    if len(found) > len(shown):
        following = cursor_of(datetime.combine(shown[-1].day, time(), UTC), shown[-1].id)
    return made(LogEntriesAnswer(entries=tuple(map(log_entry_answer, shown)), next=following))


async def _made(work: Work, student: Student, columns: Mapping[str, Any]) -> Made:
    row = LogEntry(
        **columns,
        school_id=work.school_id,
        student_id=student.id,
        revision=1,
        created_at=work.now,
        removed_at=None,
    )
    work.session.add(row)
    await work.session.flush()
    return _shown(row, is_new=True)


async def _find(work: Work, student: Student, entry_id: UUID) -> LogEntry:
    row = await work.session.get(LogEntry, (work.school_id, entry_id))
    if row is None or row.student_id != student.id:
        raise MissingError("log entry")
    _refuse_unusable(row, student)
    return row


def _refuse_unusable(row: LogEntry, student: Student) -> None:
    if row.student_id != student.id:
        raise TakenError("An entry of another student has this id.")
    if row.removed_at is not None:
        raise RemovedError("This entry was removed. What is to be logged anew needs a new id.")


def _shown(row: LogEntry, *, is_new: bool = False) -> Made:
    location = f"/v1/students/{row.student_id}/logs/{row.id}"
    return made(log_entry_answer(row), row.revision, location, is_new=is_new)
