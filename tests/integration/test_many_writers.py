"""Fifty writers at once on one SQLite file, served by two processes: each waits its turn, and none is sent away."""

import asyncio
import threading
import time
from pathlib import Path
from uuid import UUID

import httpx
import pytest
from bagatelle_service.database.connection import connect, database_url
from bagatelle_service.database.storage import Storage
from bagatelle_service.database.tables import Student
from sqlalchemy import select

from tests.integration.databases import sqlite_url
from tests.integration.log_scan import LogScan
from tests.integration.served_school import ServedSchool, school_on
from tests.integration.serving import ServedProcess

WRITERS = 50
WRITES_EACH = 12


@pytest.mark.slow
def test_fifty_writers_on_one_file(tmp_path: Path, nothing_personal_in_logs: LogScan) -> None:
    school = school_on(sqlite_url(tmp_path))
    answers: list[tuple[str, httpx.Response]] = []
    process = ServedProcess(tmp_path, "--workers", "2", **school.settings())
    try:
        process.wait_until_live()
        at_once = threading.Barrier(WRITERS + 1)
        writers = [
            threading.Thread(target=write, args=(process.url, school, number, at_once, answers))
            for number in range(WRITERS)
        ]
        for writer in writers:
            writer.start()
        at_once.wait()
        began = time.monotonic()
        for writer in writers:
            writer.join()
        seconds = time.monotonic() - began
    finally:
        process.stop()
    wanted = {f"Writer {number} write {turn}" for number in range(WRITERS) for turn in range(WRITES_EACH)}
    nothing_personal_in_logs.register(*wanted)
    print(f"{len(answers) / seconds:.0f} writes a second")
    assert [answer.text for _, answer in answers if answer.status_code != 201] == []
    assert {name for name, _ in answers} == wanted
    assert len(answers) == WRITERS * WRITES_EACH
    assert asyncio.run(names_stored(school)) == sorted(wanted)
    log = process.log.read_text()
    assert "locked" not in log
    assert all(f"worker-{number}" in log for number in (1, 2)), "two processes were to serve"


def write(
    url: str,
    school: ServedSchool,
    number: int,
    at_once: threading.Barrier,
    answers: list[tuple[str, httpx.Response]],
) -> None:
    with httpx.Client(base_url=url, headers=school.headers, timeout=120) as client:
        at_once.wait()
        for turn in range(WRITES_EACH):
            name = f"Writer {number} write {turn}"
            body = {"display_name": name, "time_zone": "UTC"}
            answers.append((name, client.post("/v1/students", json=body)))


async def names_stored(school: ServedSchool) -> list[str]:
    engine = connect(database_url(school.owner_url))
    try:
        async with Storage(engine).read(UUID(school.id)) as session:
            return sorted(await session.scalars(select(Student.display_name)))
    finally:
        await engine.dispose()
