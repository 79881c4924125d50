"""The trail: who read or changed what, by pseudonyms.

A change and its entry are one transaction. What was only read is gathered and written a little later, so that
reading need not wait for a disk; a process that is killed may lose the last seconds of it.
"""

import asyncio
import contextlib
import logging
from collections import defaultdict
from typing import Any, Final
from uuid import UUID

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bagatelle_service.database.errors import StorageError
from bagatelle_service.database.storage import Storage
from bagatelle_service.database.tables import AuditEntry, Guardian, Student
from bagatelle_service.school.work import Work

logger = logging.getLogger("bagatelle_service.trail")
PAUSE_SECONDS: Final = 1.0
_MOST_AT_ONCE: Final = 1000
_ERASED_WITH: Final = frozenset({"student", "guardian"})
"""Those whose own entries go when the student does."""


class Trail:
    """Gathers what was read, and writes it."""

    def __init__(self, storage: Storage) -> None:
        self._storage = storage
        self._waiting: list[AuditEntry] = []
        self._one_at_once = asyncio.Lock()
        self._writer: asyncio.Task[None] | None = None

    def was_read(self, work: Work) -> None:
        """Note that something was read. What somebody reads of themselves is nobody's to follow."""
        if work.caller.role == "student" or work.caller.school_id != work.school_id:
            return
        self._waiting.append(work.entry())

    async def write(self) -> None:
        """Write what waits; afterwards everything is written that was read before."""
        async with self._one_at_once:
            while self._waiting:
                part, self._waiting = self._waiting[:_MOST_AT_ONCE], self._waiting[_MOST_AT_ONCE:]
                await self._write_part(part)

    async def _write_part(self, part: list[AuditEntry]) -> None:
        by_school: dict[UUID, list[AuditEntry]] = defaultdict(list)
        for entry in part:
            by_school[entry.school_id].append(entry)
        try:
            while by_school:
                school_id, entries = next(iter(by_school.items()))
                async with self._storage.write(school_id) as session:
                    session.add_all(await without_erased(session, entries))
                del by_school[school_id]
        except StorageError:
            for entries in by_school.values():
                self._waiting.extend(entries)
            raise

    def start(self) -> None:
        """Write every now and then, until stopped."""
        self._writer = asyncio.create_task(self._write_on())

    async def stop(self) -> None:
        """Write what is left."""
        if self._writer is not None:
            self._writer.cancel()
            with contextlib.suppress(asyncio.CancelledError):
                await self._writer
        await self.write()

    async def _write_on(self) -> None:
        while True:
            await asyncio.sleep(PAUSE_SECONDS)
            try:
                await self.write()
            except StorageError:
                logger.warning("what was read could not be noted yet: the database is out of reach")


async def without_erased(session: AsyncSession, entries: list[AuditEntry]) -> list[AuditEntry]:
    """Take out of entries that have waited whoever was erased meanwhile, as the erasure would have done."""
    students = await _still_there(session, Student, {entry.subject for entry in entries} - {None})
    members = await _still_there(session, Guardian, {entry.actor for entry in entries}) | await _still_there(
        session, Student, {entry.actor for entry in entries}
    )
    kept = [entry for entry in entries if entry.actor_role not in _ERASED_WITH or entry.actor in members]
    for entry in kept:
        if entry.subject not in students:
            entry.subject = None
    return kept


async def _still_there(session: AsyncSession, table: Any, pseudonyms: set[Any]) -> set[UUID]:
    # An erasure that comes at the same time waits until the entries are written, and finds them.
    statement = select(table.pseudonym).where(table.pseudonym.in_(pseudonyms))
    return set(await session.scalars(statement.with_for_update(read=True, key_share=True)))
