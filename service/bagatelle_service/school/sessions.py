"""The transactions of one request, one after the other: where work between them takes long, none is open."""

from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from datetime import datetime
from uuid import UUID

from msgspec import Struct
from sqlalchemy.ext.asyncio import AsyncSession

from bagatelle_service.database.storage import Storage
from bagatelle_service.school.caller import Caller
from bagatelle_service.school.trail import Trail
from bagatelle_service.school.work import Work


class Sessions(Struct, frozen=True, kw_only=True):
    """Opens the transactions of one request. The trail is for whoever opens them to keep."""

    storage: Storage
    trail: Trail
    caller: Caller
    school_id: UUID
    now: Callable[[], datetime]
    operation: str
    """As in `Work`; so are the other two."""
    given_revisions: tuple[int, ...] | None = None
    any_revision: bool = False

    @asynccontextmanager
    async def open(self, *, writes: bool) -> AsyncIterator[Work]:
        """Work in one transaction; what it writes is committed where the block ends without an error."""
        if self.caller.role == "operator":
            opened = self.storage.operate(self.school_id, writes=writes)
        else:
            opened = self.storage.write(self.school_id) if writes else self.storage.read(self.school_id)
        async with opened as session:
            work = self._work(session)
            if writes:
                await work.hold_caller()
            yield work

    def _work(self, session: AsyncSession) -> Work:
        return Work(
            session=session,
            caller=self.caller,
            school_id=self.school_id,
            now=self.now(),
            operation=self.operation,
            given_revisions=self.given_revisions,
            any_revision=self.any_revision,
        )
