"""How often SQLite leaves something of a deleted row in its file, and how long a wipe takes.

`.venv/bin/python -m tests.bench.wiping`
"""

import asyncio
import sqlite3
import tempfile
import time
from pathlib import Path

from bagatelle_service.database.connection import connect, database_url
from bagatelle_service.database.wiping import _cut_log, wipe
from sqlalchemy import text
from sqlalchemy.ext.asyncio import AsyncEngine

from tests.integration.test_wiping import mark_of, one_step
from tests.seeded import seeded

STEPS, SEEDS = 3000, 6
SIZES_MEGABYTES = (10, 100, 400)


async def life(engine: AsyncEngine, file: Path, seed: int, *, wiped: bool) -> tuple[int, int]:
    """Count the deletions of a random life, and those of which something was left right after."""
    draw = seeded(f"life {seed}")
    there: list[str] = []
    deleted = left = 0
    async with engine.begin() as connection:
        await connection.execute(text("CREATE TABLE t (a TEXT, b TEXT, body TEXT, PRIMARY KEY (a, b))"))
        await connection.execute(text("CREATE INDEX i ON t (body)"))
    for step in range(STEPS):
        before = set(there)
        async with engine.begin() as connection:
            await one_step(connection, draw, there, mark_of(seed, step))
        for mark in before - set(there):
            await clear(engine, wiped=wiped)
            deleted += 1
            left += holds(file, mark)
    return deleted, left


def holds(file: Path, mark: str) -> bool:
    return mark.encode() in file.read_bytes()


async def clear(engine: AsyncEngine, *, wiped: bool) -> None:
    if wiped:
        await wipe(engine)
        return
    async with engine.connect() as connection:
        await connection.run_sync(_cut_log)


async def lives(folder: Path, *, wiped: bool) -> None:
    deleted = left = 0
    for seed in range(SEEDS):
        file = folder / f"{seed}-{wiped}.sqlite3"
        engine = connect(database_url(f"sqlite:///{file}"))
        more = await life(engine, file, seed, wiped=wiped)
        deleted, left = deleted + more[0], left + more[1]
        await engine.dispose()
    how = "VACUUM and a cut log" if wiped else "secure_delete and a cut log"
    print(f"{how}: something left of {left} of {deleted} deletions")


async def duration(folder: Path, megabytes: int) -> None:
    file = folder / f"{megabytes}.sqlite3"
    engine = connect(database_url(f"sqlite:///{file}"))
    async with engine.begin() as connection:
        await connection.execute(text("CREATE TABLE t (id TEXT PRIMARY KEY, body TEXT)"))
        rows = [{"id": f"{number:016}", "body": "words " * 700} for number in range(megabytes * 245)]
        await connection.execute(text("INSERT INTO t VALUES (:id, :body)"), rows)
    began = time.perf_counter()
    await wipe(engine)
    print(f"a wipe of {megabytes} MB: {time.perf_counter() - began:.2f} s")
    await engine.dispose()


async def main() -> None:
    print(f"SQLite {sqlite3.sqlite_version}")
    with tempfile.TemporaryDirectory() as folder:
        for wiped in (False, True):
            await lives(Path(folder), wiped=wiped)
        for megabytes in SIZES_MEGABYTES:
            await duration(Path(folder), megabytes)


if __name__ == "__main__":
    asyncio.run(main())
