"""The trail, to be read: who read or changed what, by pseudonyms."""

from datetime import datetime
from uuid import UUID

from msgspec import Struct
from sqlalchemy import ColumnElement, false, select

from bagatelle_service.database.tables import AuditEntry, Staff, Student
from bagatelle_service.school.answers import Made, made
from bagatelle_service.school.pages import Page, rows_of_page
from bagatelle_service.school.work import Work


class TrailEntryAnswer(Struct, frozen=True, kw_only=True):
    """One entry of the trail."""

    id: UUID
    created_at: datetime
    actor: UUID
    """The pseudonym of who did it."""
    actor_role: str
    operation: str
    """The operation's id in this description."""
    subject: UUID | None
    """The pseudonym of the student whom it was about; null: of no one student, or of one who is erased."""


class TrailAnswer(Struct, frozen=True, kw_only=True):
    """One page of the trail, the oldest first."""

    entries: tuple[TrailEntryAnswer, ...]
    next: str | None
    """The cursor of the next page; null where this is the last."""


class WantedEntries(Struct, frozen=True, kw_only=True):
    """Which entries are wanted."""

    page: Page
    actor: UUID | None = None
    subject: UUID | None = None
    staff_id: UUID | None = None
    student_id: UUID | None = None
    operation: str | None = None
    after: datetime | None = None
    before: datetime | None = None


async def list_trail(work: Work, wanted: WantedEntries) -> Made:
    """List entries of the school's trail."""
    statement = select(AuditEntry).where(*_plain_filters(wanted))
    if wanted.staff_id is not None:
        pseudonym = await work.session.scalar(select(Staff.pseudonym).where(Staff.id == wanted.staff_id))
        statement = statement.where(false() if pseudonym is None else AuditEntry.actor == pseudonym)
    if wanted.student_id is not None:
        student = await work.session.scalar(select(Student).where(Student.id == wanted.student_id))
        if student is not None:
            work.is_about(student)
        statement = statement.where(false() if student is None else AuditEntry.subject == student.pseudonym)
    rows, following = await rows_of_page(work.session, statement, AuditEntry, wanted.page)
    return made(TrailAnswer(entries=tuple(map(_entry_answer, rows)), next=following))


def _plain_filters(wanted: WantedEntries) -> list[ColumnElement[bool]]:
    found = []
    if wanted.actor is not None:
        found.append(AuditEntry.actor == wanted.actor)
    if wanted.subject is not None:
        found.append(AuditEntry.subject == wanted.subject)
    if wanted.operation is not None:
        found.append(AuditEntry.operation == wanted.operation)
    if wanted.after is not None:
        found.append(AuditEntry.created_at >= wanted.after)
    if wanted.before is not None:
        found.append(AuditEntry.created_at < wanted.before)
    return found


def _entry_answer(row: AuditEntry) -> TrailEntryAnswer:
    return TrailEntryAnswer(
        id=row.id,
        created_at=row.created_at,
        actor=row.actor,
        actor_role=row.actor_role,
        operation=row.operation,
        subject=row.subject,
    )
