"""Leave as little as can be of deleted rows in what the database keeps.

SQLite: with `secure_delete` it overwrites what it deletes, but where it moves rows between pages it may leave
copies in the gaps of a page, and the log beside the file still holds pages as they were. So the file is written
anew (VACUUM), and the log is taken into it and cut to nothing.

PostgreSQL: deleted rows stay in the files until VACUUM, and the planner's statistics keep samples of what columns
held until ANALYZE. Both need the tables' owner; for a role that owns nothing PostgreSQL does neither, says so in
its log, and does it by itself later. What stays on the disk even then is said in DEVELOPERS.md.
"""

import asyncio
import logging
from typing import Any, Final

from sqlalchemy import Connection
from sqlalchemy.ext.asyncio import AsyncEngine

from bagatelle_service.database.tables import Table

logger = logging.getLogger("bagatelle_service.wiping")
_TRIES: Final = 40
_PAUSE_SECONDS: Final = 0.05


async def wipe(engine: AsyncEngine) -> bool:
    """Wipe; whether it was done to the end. On SQLite it is not where a reader holds on to an old state."""
    if engine.dialect.name == "postgresql":
        await _wipe_postgresql(engine)
        return True
    async with engine.connect() as connection:
        await connection.run_sync(_vacuum)
        for _ in range(_TRIES):
            if await connection.run_sync(_cut_log):
                return True
            await asyncio.sleep(_PAUSE_SECONDS)
    logger.warning("what was erased may stand in SQLite's log until the next erasure, retention or stop")
    return False


async def _wipe_postgresql(engine: AsyncEngine) -> None:
    names = ", ".join(table.name for table in Table.metadata.sorted_tables)
    async with engine.connect() as connection:
        # VACUUM is impossible within a transaction.
        by_itself = await connection.execution_options(isolation_level="AUTOCOMMIT")
        await by_itself.exec_driver_sql(f"VACUUM (ANALYZE) {names}")


def _cut_log(connection: Connection) -> bool:
    row = _run(connection, "PRAGMA wal_checkpoint(TRUNCATE)")
    return row is None or row[0] == 0


def _vacuum(connection: Connection) -> None:
    _run(connection, "VACUUM")


def _run(connection: Connection, statement: str) -> Any:
    # By the driver itself: neither is possible within a transaction, and the engine would begin one.
    cursor = connection.connection.cursor()
    try:
        cursor.execute(statement)
        return cursor.fetchone()
    finally:
        cursor.close()
