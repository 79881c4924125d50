"""Sessions on the database, each bound to one school: what belongs to another is not there.

The bond holds twice. Each query of a school's table is narrowed to the school here, in one place; and on PostgreSQL
the rows themselves are narrowed (migration 0005) by what a transaction says at its begin.
"""

import asyncio
import logging
import sqlite3
from collections.abc import AsyncIterator
from contextlib import AbstractAsyncContextManager, asynccontextmanager, nullcontext
from typing import Any, Final
from uuid import UUID

from sqlalchemy import Connection, event, text
from sqlalchemy.exc import DBAPIError, IntegrityError, InterfaceError, OperationalError, SQLAlchemyError
from sqlalchemy.exc import TimeoutError as PoolTimeoutError
from sqlalchemy.ext.asyncio import AsyncEngine, AsyncSession
from sqlalchemy.orm import ORMExecuteState, Session, SessionTransaction, with_loader_criteria
from sqlalchemy.orm.exc import StaleDataError

from bagatelle_service.database.connection import READ_ONLY
from bagatelle_service.database.errors import BusyError, ClashError, OutdatedError, StorageError
from bagatelle_service.database.tables import School, SchoolBound
from bagatelle_service.database.wiping import wipe

logger = logging.getLogger("bagatelle_service.storage")
SCHOOL: Final = "school_id"
_FILTER: Final = "school_filter"
# Classes of PostgreSQL's errors that are no fault and may be gone the next time: lost connections, deadlocks, too
# few resources such as connections, a server that stops or starts (PostgreSQL 15, appendix A).
_COMES_RIGHT: Final = ("08", "40", "53", "57")
_SAY: Final = text(
    "SELECT set_config('app.school_id', :school_id, true), set_config('app.presented', :presented, true), "
    "set_config('app.operator', :operator, true)"
)


def plain(error: SQLAlchemyError | OSError) -> StorageError:
    """Turn a database's error into one of ours: its own words may repeat what it was to store."""
    cause = getattr(error, "orig", None) or error
    # PostgreSQL's code tells apart what has one name only, and repeats nothing either.
    kind = " ".join(filter(None, (type(cause).__name__, getattr(cause, "sqlstate", None))))
    found: StorageError
    match error:
        case StaleDataError():
            found = OutdatedError(kind)
        case IntegrityError():
            found = ClashError(kind)
        case OperationalError() if getattr(cause, "sqlite_errorcode", None) == sqlite3.SQLITE_ERROR:
            found = StorageError(kind)  # a statement that is wrong: SQLite calls that operational too
        case DBAPIError() if str(getattr(cause, "sqlstate", None))[:2] in _COMES_RIGHT:
            found = BusyError(kind)
        case OperationalError() | InterfaceError() | PoolTimeoutError() | OSError():
            found = BusyError(kind)
        case _:
            found = StorageError(kind)
    return found.with_traceback(error.__traceback__)


class OtherSchoolError(Exception):
    """A row of one school was about to be written by a session of another: a fault of ours."""


class Storage:
    """The database, by sessions of one transaction each."""

    def __init__(self, engine: AsyncEngine) -> None:
        self.engine = engine
        self._reading = engine.execution_options(**{READ_ONLY: True, "postgresql_readonly": True})
        self._one_writer = asyncio.Lock() if engine.dialect.name == "sqlite" else None

    def read(self, school_id: UUID) -> AbstractAsyncContextManager[AsyncSession]:
        """Read within a school; nothing can be written."""
        return self._session(school_id=school_id, writes=False)

    def write(self, school_id: UUID) -> AbstractAsyncContextManager[AsyncSession]:
        """Read and write within a school; committed where the block ends without an error."""
        return self._session(school_id=school_id, writes=True)

    def read_presented(self, secret_hash: bytes) -> AbstractAsyncContextManager[AsyncSession]:
        """Read the rows of a secret that somebody has shown, whatever school they are of."""
        return self._session(presented=secret_hash, writes=False)

    def operate(
        self, school_id: UUID | None = None, *, writes: bool = True
    ) -> AbstractAsyncContextManager[AsyncSession]:
        """Work for the operator: on schools, and within one where it is named."""
        return self._session(school_id=school_id, operator=True, writes=writes)

    async def wipe(self) -> bool:
        """Leave as little of deleted rows as can be (`wiping`); whether that was done.

        Where it was not, the rows are deleted all the same, and the next wipe takes what is left of them.
        """
        async with self._one_writer or nullcontext():
            try:
                return await wipe(self.engine)
            except (SQLAlchemyError, sqlite3.Error, OSError) as error:
                logger.warning(
                    "what was erased may stand in the database's files until the next wipe: %s",
                    type(error).__name__,
                )
                return False

    @asynccontextmanager
    async def _session(
        self,
        *,
        writes: bool,
        school_id: UUID | None = None,
        presented: bytes = b"",
        operator: bool = False,
    ) -> AsyncIterator[AsyncSession]:
        info = {SCHOOL: school_id, "presented": presented, "operator": operator}
        engine = self.engine if writes else self._reading
        turn = self._one_writer if writes and self._one_writer is not None else nullcontext()
        try:
            async with (
                turn,
                AsyncSession(
                    engine,
                    sync_session_class=_BoundSession,
                    info=info,
                    expire_on_commit=False,
                    autoflush=False,
                ) as session,
                session.begin(),
            ):
                yield session
        except (SQLAlchemyError, OSError) as error:
            raise plain(error) from None


async def enter_school(session: AsyncSession, school_id: UUID) -> None:
    """Bind a session that was opened for a secret to the school that the secret led to."""
    session.info.update({SCHOOL: school_id, "presented": b""})
    session.info.pop(_FILTER, None)
    if session.get_bind().dialect.name == "postgresql":
        await session.execute(_SAY, _said(session.info))


class _BoundSession(Session):
    """What SQLAlchemy works with beneath an asynchronous session; the events below are its own."""


@event.listens_for(_BoundSession, "after_begin")
def _say_for_whom(session: Session, _: SessionTransaction, connection: Connection) -> None:
    if connection.dialect.name != "postgresql":
        return
    connection.execute(_SAY, _said(session.info))


def _said(info: dict[Any, Any]) -> dict[str, str]:
    return {
        "school_id": str(info[SCHOOL] or ""),
        "presented": info["presented"].hex(),
        "operator": "yes" if info["operator"] else "",
    }


@event.listens_for(_BoundSession, "do_orm_execute")
def _narrow_to_the_school(state: ORMExecuteState) -> None:
    if state.is_select or state.is_update or state.is_delete:
        info = state.session.info
        if _FILTER not in info:
            info[_FILTER] = school_filter(info)  # made once a session: it costs as much as a small query
        state.statement = state.statement.options(*info[_FILTER])


def school_filter(info: dict[Any, Any]) -> tuple[Any, ...]:
    """Narrow every school-bound table of a statement, and the schools. A test takes this out, to see the rows hold.

    A session that has shown a secret sees what the hash of the secret gives, as its queries ask for that alone.
    The operator sees every school, and nothing inside one that was not named.
    """
    if info["presented"]:
        return ()
    school_id = info[SCHOOL]
    bound = with_loader_criteria(
        SchoolBound, lambda table: table.school_id == school_id, include_aliases=True
    )
    own = with_loader_criteria(School, School.id == school_id, include_aliases=True)
    return (bound,) if info["operator"] else (bound, own)


@event.listens_for(_BoundSession, "before_flush")
def _refuse_other_schools(session: Session, _context: Any, _instances: Any) -> None:
    for row in (*session.new, *session.dirty, *session.deleted):
        of_other = isinstance(row, SchoolBound) and row.school_id != session.info[SCHOOL]
        is_other = isinstance(row, School) and row.id != session.info[SCHOOL]
        if of_other or (is_other and not session.info["operator"]):
            raise OtherSchoolError(type(row).__name__)
