"""Erasures that no caller asks for: of a restored backup, and of students who left long ago."""

from collections import defaultdict
from collections.abc import AsyncIterator, Iterable
from datetime import datetime
from uuid import UUID, uuid4

from msgspec import Struct
from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bagatelle_service.database.storage import Storage
from bagatelle_service.database.tables import AuditEntry, Erasure, School, Student
from bagatelle_service.school.erasing import erase, lock_student
from bagatelle_service.school.erasure_ledger import Ledger, LedgerLine, note_erasure, student_hash


class Replayed(Struct, frozen=True, kw_only=True):
    """What a ledger came to."""

    lines: int
    erased: int
    """Students who were there again."""
    unknown_schools: int
    """Schools of the ledger that this database does not have."""


async def schools_of(storage: Storage) -> tuple[School, ...]:
    """List all schools, in the order in which they were made."""
    async with storage.operate(writes=False) as session:
        return tuple(await session.scalars(select(School).order_by(School.created_at, School.id)))


async def noted_erasures(storage: Storage) -> AsyncIterator[LedgerLine]:
    """Give every line of the ledger's table, school by school."""
    for school in await schools_of(storage):
        async with storage.read(school.id) as session:
            rows = await session.scalars(select(Erasure).order_by(Erasure.created_at, Erasure.id))
        for row in rows:
            yield LedgerLine(
                school_id=row.school_id, student_hash=row.student_hash.hex(), erased_at=row.created_at
            )


async def replay(storage: Storage, lines: Iterable[LedgerLine], now: datetime) -> Replayed:
    """Erase every student of a ledger who is there again; done twice, the second finds nobody."""
    by_school: dict[UUID, dict[str, LedgerLine]] = defaultdict(dict)
    count = 0
    for line in lines:
        # Where there are several of one student, the first says when.
        by_school[line.school_id].setdefault(line.student_hash, line)
        count += 1
    known = {school.id for school in await schools_of(storage)}
    erased = 0
    for school_id in by_school.keys() & known:
        erased += await _replay_school(storage, school_id, by_school[school_id], now)
    await storage.wipe()
    return Replayed(lines=count, erased=erased, unknown_schools=len(by_school.keys() - known))


async def _replay_school(
    storage: Storage, school_id: UUID, lines: dict[str, LedgerLine], now: datetime
) -> int:
    async with storage.write(school_id) as session:
        for line in lines.values():
            await note_erasure(session, line)
        ids = (await session.scalars(select(Student.id))).all()
    erased = 0
    for student_id in ids:
        again = lines.get(student_hash(school_id, student_id).hex())
        if again is not None:
            async with storage.write(school_id) as session:
                await lock_student(session, student_id)
                await erase(session, school_id, student_id, again.erased_at, None)
                note_in_trail(session, school_id, now)
            erased += 1
    return erased


async def erase_archived(
    storage: Storage, school_id: UUID, archived_before: datetime, now: datetime, ledger: Ledger
) -> int:
    """Erase the students who were archived before a moment; how many."""
    is_due = Student.archived_at < archived_before
    async with storage.read(school_id) as session:
        ids = (await session.scalars(select(Student.id).where(is_due))).all()
    erased = 0
    for student_id in ids:
        async with storage.write(school_id) as session:
            # Somebody may have brought the student back meanwhile.
            due = select(Student.id).where(Student.id == student_id, is_due).with_for_update()
            if await session.scalar(due) is not None:
                await erase(session, school_id, student_id, now, ledger)
                note_in_trail(session, school_id, now)
                erased += 1
    return erased


def note_in_trail(session: AsyncSession, school_id: UUID, now: datetime) -> None:
    """Note an erasure by whoever runs the installation, who is known by having the database."""
    session.add(
        AuditEntry(
            school_id=school_id,
            id=uuid4(),
            actor=uuid4(),
            actor_role="operator",
            operation="erase_student",
            subject=None,
            created_at=now,
        )
    )
