"""The trail: who read or changed what, by pseudonyms.

A change and its entry are one transaction. What was only read is gathered and written a little later, so that
reading need not wait for a disk; a process that is killed may lose the last seconds of it.
"""

import asyncio
import contextlib
import logging
from collections import defaultdict
from typing import Final
from uuid import UUID

from bagatelle_service.database.errors import StorageError
from bagatelle_service.database.storage import Storage
from bagatelle_service.database.tables import AuditEntry
from bagatelle_service.school.work import Work

logger = logging.getLogger("bagatelle_service.trail")
PAUSE_SECONDS: Final = 1.0
_MOST_AT_ONCE: Final = 1000


class Trail:
    """Gathers what was read, and writes it."""

    def __init__(self, storage: Storage) -> None:
        self._storage = storage
        self._waiting: list[AuditEntry] = []
        self._writer: asyncio.Task[None] | None = None

    def was_read(self, work: Work) -> None:
        """Note that something was read. What somebody reads of themselves is nobody's to follow."""
        if work.subject == work.caller.pseudonym or work.caller.school_id != work.school_id:
            return
        self._waiting.append(work.entry())

    async def write(self) -> None:
        """Write what waits."""
        while self._waiting:
            part, self._waiting = self._waiting[:_MOST_AT_ONCE], self._waiting[_MOST_AT_ONCE:]
            by_school: dict[UUID, list[AuditEntry]] = defaultdict(list)
            for entry in part:
                by_school[entry.school_id].append(entry)
            try:
                while by_school:
                    school_id, entries = next(iter(by_school.items()))
                    async with self._storage.write(school_id) as session:
                        session.add_all(entries)
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
