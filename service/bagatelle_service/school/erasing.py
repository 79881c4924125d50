"""Erase a student: every table by its rule, in one transaction, with a line in the ledger."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any
from uuid import UUID

from sqlalchemy import delete, or_, select, update
from sqlalchemy.ext.asyncio import AsyncSession

from bagatelle_service.database.tables import (
    AuditEntry,
    CatalogueSnapshot,
    Guardian,
    Identity,
    Invitation,
    PreparedPlanRevision,
    Routine,
    RoutineRevision,
    Student,
    Table,
    Token,
    children_first,
)
from bagatelle_service.school.erasure import RULES, Delete, Found, Keep
from bagatelle_service.school.erasure_ledger import Ledger, LedgerLine, note_erasure, student_hash
from bagatelle_service.school.errors import MissingError
from bagatelle_service.school.work import Work


async def erase_student(work: Work, student_id: UUID, ledger: Ledger) -> None:
    """Erase a student whom the caller reaches. The work is about nobody afterwards.

    :raises MissingError: where the school has no such student.
    :raises NotAllowedError: where the caller does not reach them.
    :raises NoMatchGivenError: where the request does not say which state it means.
    :raises ChangedMeanwhileError: where it means another.
    :raises LedgerError: where the ledger's file cannot be written; then nothing is erased.
    """
    await work.student(student_id)
    work.expect(await lock_student(work.session, student_id))
    await erase(work.session, work.school_id, student_id, work.now, ledger)
    work.subject = work.student_id = None


async def lock_student(session: AsyncSession, student_id: UUID) -> int:
    """Keep others from writing about a student until the transaction ends, and return the newest revision.

    :raises MissingError: where the school has no such student.
    """
    newest = await session.scalar(select(Student.revision).where(Student.id == student_id).with_for_update())
    if newest is None:
        raise MissingError("student")
    return newest


async def erase(
    session: AsyncSession, school_id: UUID, student_id: UUID, moment: datetime, ledger: Ledger | None
) -> None:
    """Erase a student who is locked.

    :param ledger: None where the file has the line already.
    :raises LedgerError: where the ledger's file cannot be written.
    """
    await session.flush()
    found = await find_everything(session, student_id)
    # What refers to something goes before it.
    for model in children_first():
        await _apply(session, model, found)
    line = LedgerLine(
        school_id=school_id, student_hash=student_hash(school_id, student_id).hex(), erased_at=moment
    )
    await note_erasure(session, line)
    # Last before the commit, so that hardly anything is left that could fail.
    if ledger is not None:
        await ledger.append(line)


async def _apply(session: AsyncSession, model: type[Table], found: Found) -> None:
    rule = RULES[model]
    if isinstance(rule, Keep):
        return
    for step in rule:
        statement: Any = (
            delete(model) if isinstance(step, Delete) else update(model).values(**step.values)
        ).where(step.rows(found))
        await session.execute(statement.execution_options(synchronize_session=False))


async def find_everything(session: AsyncSession, student_id: UUID) -> Found:
    """Find where a student is; others cannot add to it meanwhile."""
    student = await session.scalar(select(Student.pseudonym).where(Student.id == student_id))
    if student is None:
        raise MissingError("student")
    guardians = (
        await session.execute(
            select(Guardian.id, Guardian.pseudonym)
            .where(Guardian.student_id == student_id)
            .with_for_update(of=Guardian)
        )
    ).all()
    guardian_ids = tuple(row.id for row in guardians)
    # Those of guardians who were removed before are found by what they did.
    removed = select(AuditEntry.actor).where(
        AuditEntry.subject == student, AuditEntry.actor_role == "guardian"
    )
    pseudonyms = {row.pseudonym for row in guardians} | set(await session.scalars(removed.distinct()))
    routine_ids = await _locked(session, Routine.id, Routine.student_id == student_id)
    await _locked(session, RoutineRevision.number, RoutineRevision.routine_id.in_(routine_ids))
    plans = PreparedPlanRevision
    hashes = await _locked(session, plans.catalogue_hash, plans.routine_id.in_(routine_ids))
    snapshot_hashes = await _locked(session, CatalogueSnapshot.hash, CatalogueSnapshot.hash.in_(hashes))
    shown_ids: list[UUID] = []
    for table in (Token, Invitation, Identity):
        whose = or_(table.student_id == student_id, table.guardian_id.in_(guardian_ids))
        shown_ids += await session.scalars(select(table.id).where(whose))
    return Found(
        student_id=student_id,
        guardian_ids=guardian_ids,
        pseudonyms=(student, *pseudonyms),
        subject=student,
        shown_ids=tuple(shown_ids),
        routine_ids=tuple(routine_ids),
        snapshot_hashes=tuple(snapshot_hashes),
    )


async def _locked(session: AsyncSession, column: Any, condition: Any) -> Sequence[Any]:
    # Where others are writing what refers to these rows, PostgreSQL waits for them here.
    return (await session.scalars(select(column).where(condition).with_for_update())).all()
