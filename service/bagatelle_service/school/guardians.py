"""Guardians: grown-ups who each read one student."""

from datetime import datetime
from uuid import UUID, uuid4

from msgspec import Struct
from sqlalchemy import delete, select

from bagatelle_service.database.tables import Guardian, Identity, Invitation, Token
from bagatelle_service.school.answers import Made, made
from bagatelle_service.school.fields import DisplayName
from bagatelle_service.school.members import find_guardian
from bagatelle_service.school.pages import Page, rows_of_page
from bagatelle_service.school.work import Work


class NewGuardian(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A guardian to be made. An invitation lets them in."""

    display_name: DisplayName | None = None


class GuardianAnswer(Struct, frozen=True, kw_only=True):
    """A guardian."""

    id: UUID
    student: UUID
    """The one student whom the guardian reads."""
    display_name: str | None
    created_at: datetime


class GuardiansAnswer(Struct, frozen=True, kw_only=True):
    """One page of guardians, in the order in which they were made."""

    guardians: tuple[GuardianAnswer, ...]
    next: str | None
    """The cursor of the next page; null where this is the last."""


async def make_guardian(work: Work, student_id: UUID, body: NewGuardian) -> Made:
    """Link a guardian to a student.

    :raises MissingError: where the school has no such student.
    :raises NotAllowedError: where the caller does not reach them.
    """
    student = await work.student(student_id)
    guardian = Guardian(
        school_id=work.school_id,
        id=uuid4(),
        student_id=student.id,
        display_name=body.display_name,
        pseudonym=uuid4(),
        created_at=work.now,
    )
    work.session.add(guardian)
    await work.session.flush()
    return _shown(guardian)


async def list_guardians(work: Work, student_id: UUID, page: Page) -> Made:
    """List the guardians of a student; a guardian sees their own link alone.

    :raises MissingError: where the school has no such student.
    :raises NotAllowedError: where the caller does not reach them.
    """
    student = await work.student(student_id)
    statement = select(Guardian).where(Guardian.student_id == student.id)
    if work.caller.guardian_id is not None:
        statement = statement.where(Guardian.id == work.caller.guardian_id)
    rows, following = await rows_of_page(work.session, statement, Guardian, page)
    return made(GuardiansAnswer(guardians=tuple(map(guardian_answer, rows)), next=following))


async def show_guardian(work: Work, guardian_id: UUID) -> Made:
    """Show a guardian.

    :raises MissingError: where the school has no such guardian.
    :raises NotAllowedError: where the caller does not reach the student, or is another guardian.
    """
    return _shown(await find_guardian(work, guardian_id))


async def remove_guardian(work: Work, guardian_id: UUID) -> None:
    """Remove a guardian, and with them everything that let them in.

    :raises MissingError: where the school has no such guardian.
    :raises NotAllowedError: where the caller does not reach the student.
    """
    # Held before what let them in, as an erasure does it, so that neither waits for the other.
    guardian = await find_guardian(work, guardian_id, to_change=True)
    for table in (Token, Invitation, Identity):
        await work.session.execute(delete(table).where(table.guardian_id == guardian.id))
    await work.session.delete(guardian)
    await work.session.flush()


def guardian_answer(guardian: Guardian) -> GuardianAnswer:
    """Say what is stored of a guardian."""
    return GuardianAnswer(
        id=guardian.id,
        student=guardian.student_id,
        display_name=guardian.display_name,
        created_at=guardian.created_at,
    )


def _shown(guardian: Guardian) -> Made:
    return made(guardian_answer(guardian), location=f"/v1/guardians/{guardian.id}")
