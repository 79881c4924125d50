"""What a search of SQLite's files finds of deleted rows: something before a wipe, and nothing after."""

import asyncio
import hashlib
from pathlib import Path
from random import Random

import pytest
from bagatelle_service.database import wiping
from bagatelle_service.database.connection import connect, database_url
from bagatelle_service.database.wiping import wipe
from sqlalchemy import text
from sqlalchemy.ext.asyncio import AsyncConnection, AsyncEngine

from tests.seeded import seeded

STEPS = 1200


async def live(engine: AsyncEngine, seed: int) -> None:
    """Insert, grow and delete rows of many sizes, each of a mark of its own."""
    draw = seeded(f"life {seed}")
    there: list[str] = []
    async with engine.begin() as connection:
        await connection.execute(text("CREATE TABLE t (a TEXT, b TEXT, body TEXT, PRIMARY KEY (a, b))"))
        await connection.execute(text("CREATE INDEX i ON t (body)"))
    for step in range(STEPS):
        # Transactions of their own, as only then the log has pages as they were.
        async with engine.begin() as connection:
            await one_step(connection, draw, there, mark_of(seed, step))


async def one_step(connection: AsyncConnection, draw: Random, there: list[str], new_mark: str) -> None:
    kind = draw.random()
    if kind < 0.55 or len(there) < 20:
        there.append(new_mark)
        values = {"b": new_mark, "body": new_mark * draw.choice([1, 1, 2, 3, 10, 40])}
        await connection.execute(text("INSERT INTO t VALUES ('s', :b, :body)"), values)
    elif kind < 0.7:
        mark = draw.choice(there)
        values = {"b": mark, "body": mark * draw.choice([1, 2, 5, 60])}
        await connection.execute(text("UPDATE t SET body = :body WHERE b = :b"), values)
    else:
        mark = there.pop(draw.randrange(len(there)))
        await connection.execute(text("DELETE FROM t WHERE b = :b"), {"b": mark})


def mark_of(seed: int, step: int) -> str:
    return hashlib.sha256(f"{seed} {step}".encode()).hexdigest()[:24]


async def left_in(file: Path, engine: AsyncEngine, seed: int) -> int:
    """Count the deleted marks that some file still has."""
    async with engine.connect() as connection:
        there = set((await connection.execute(text("SELECT b FROM t"))).scalars())
    content = b"".join(path.read_bytes() for path in file.parent.iterdir() if path.name.startswith(file.name))
    gone = {mark_of(seed, step) for step in range(STEPS)} - there
    return sum(mark.encode() in content for mark in gone)


@pytest.mark.parametrize("seed", range(3))
def test_a_wipe_leaves_nothing(tmp_path: Path, seed: int) -> None:
    file = tmp_path / "life.sqlite3"

    async def run() -> tuple[int, int]:
        engine = connect(database_url(f"sqlite:///{file}"))
        try:
            await live(engine, seed)
            before = await left_in(file, engine, seed)
            assert await wipe(engine)
            return before, await left_in(file, engine, seed)
        finally:
            await engine.dispose()

    before, after = asyncio.run(run())
    assert before > 0  # in the log: the search finds what is there
    assert after == 0


def test_a_reader_who_stays_is_said(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    monkeypatch.setattr(wiping, "_TRIES", 2)

    async def run() -> tuple[bool, bool]:
        engine = connect(database_url(f"sqlite:///{tmp_path / 'read.sqlite3'}"))
        try:
            await live(engine, 1)
            reading = engine.execution_options(bagatelle_read_only=True)
            async with reading.connect() as reader:
                await reader.execute(text("SELECT count(*) FROM t"))
                during = await wipe(engine)
            return during, await wipe(engine)
        finally:
            await engine.dispose()

    monkeypatch.setattr("bagatelle_service.database.connection.BUSY_TIMEOUT_MILLISECONDS", 50)
    assert asyncio.run(run()) == (False, True)
    assert "SQLite's log" in caplog.text
