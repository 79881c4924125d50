"""What is old enough to go: by each school's retention, and what nobody needs any more."""

from datetime import datetime, timedelta
from typing import Any, Final
from uuid import UUID

from msgspec import Struct
from sqlalchemy import ColumnElement, delete, or_
from sqlalchemy.ext.asyncio import AsyncSession

from bagatelle_service.database.storage import Storage
from bagatelle_service.database.tables import (
    AuditEntry,
    DaySheet,
    Invitation,
    KeptAnswer,
    LogEntry,
    PermitWindow,
    School,
    Token,
)
from bagatelle_service.school.erasure_ledger import Ledger
from bagatelle_service.school.erasures import erase_archived, schools_of
from bagatelle_service.school.kept_answers import KEPT_FOR

SPENT_FOR: Final = timedelta(days=30)
"""How long tokens and invitations are kept that open nothing any more: somebody may ask what became of them."""
_PERMITS_FOR: Final = timedelta(minutes=10)


class Gone(Struct, frozen=True, kw_only=True):
    """How many of each a school has lost."""

    school_id: UUID
    students: int
    log_entries: int
    day_sheets: int
    trail_entries: int
    kept_answers: int
    invitations: int
    tokens: int


async def keep_to_retention(storage: Storage, now: datetime, ledger: Ledger) -> tuple[Gone, ...]:
    """Delete what is too old, in every school; done twice, the second finds nothing."""
    gone = tuple([await _in_school(storage, school, now, ledger) for school in await schools_of(storage)])
    async with storage.operate() as session:
        await session.execute(delete(PermitWindow).where(PermitWindow.minute < now - _PERMITS_FOR))
    await storage.wipe()
    return gone


async def _in_school(storage: Storage, school: School, now: datetime, ledger: Ledger) -> Gone:
    students = log_entries = day_sheets = trail_entries = 0
    if school.retention_days is not None:
        oldest = now - timedelta(days=school.retention_days)
        students = await erase_archived(storage, school.id, oldest, now, ledger)
        async with storage.write(school.id) as session:
            # Days are the students' own; the date in UTC is within a day of theirs.
            log_entries = await _delete(session, LogEntry, LogEntry.day < oldest.date())
            day_sheets = await _delete(session, DaySheet, DaySheet.day < oldest.date())
            trail_entries = await _delete(session, AuditEntry, AuditEntry.created_at < oldest)
    async with storage.write(school.id) as session:
        return Gone(
            school_id=school.id,
            students=students,
            log_entries=log_entries,
            day_sheets=day_sheets,
            trail_entries=trail_entries,
            kept_answers=await _delete(session, KeptAnswer, KeptAnswer.created_at <= now - KEPT_FOR),
            invitations=await _delete(session, Invitation, _spent(Invitation, now, Invitation.used_at)),
            tokens=await _delete(session, Token, _spent(Token, now)),
        )


def _spent(table: Any, now: datetime, *more: Any) -> ColumnElement[bool]:
    return or_(*(moment < now - SPENT_FOR for moment in (table.expires_at, table.revoked_at, *more)))


async def _delete(session: AsyncSession, table: Any, condition: ColumnElement[bool]) -> int:
    statement = delete(table).where(condition).execution_options(synchronize_session=False)
    result: Any = await session.execute(statement)
    deleted: int = result.rowcount
    return deleted
