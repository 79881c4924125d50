"""Leave nothing of deleted rows in the files of an SQLite database.

With `secure_delete` SQLite overwrites what it deletes, but where it moves rows between pages it may leave copies
in the gaps of a page, and the log beside the file still holds pages as they were. So the file is written anew
(VACUUM), and the log is taken into it and cut to nothing. PostgreSQL cleans up by itself, later:
DEVELOPERS.md says what stays there how long.
"""

import asyncio
import logging
from typing import Any, Final

from sqlalchemy import Connection
from sqlalchemy.ext.asyncio import AsyncEngine

logger = logging.getLogger("bagatelle_service.wiping")
_TRIES: Final = 40
_PAUSE_SECONDS: Final = 0.05


async def wipe(engine: AsyncEngine) -> bool:
    """Wipe; whether nothing is left. Where a reader holds on to an old state for long, something may be."""
    if engine.dialect.name != "sqlite":
        return True
    async with engine.connect() as connection:
        await connection.run_sync(_vacuum)
        for _ in range(_TRIES):
            if await connection.run_sync(_cut_log):
                return True
            await asyncio.sleep(_PAUSE_SECONDS)
    logger.warning("what was erased may stand in SQLite's log until the next erasure, retention or stop")
    return False


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
