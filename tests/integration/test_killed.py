"""A service killed in the middle of writes: what it acknowledged is there, nothing is half there, nothing twice."""

import asyncio
import time
from collections import Counter
from collections.abc import Sequence
from pathlib import Path
from typing import NamedTuple
from uuid import UUID

import pytest
from bagatelle_service.database.connection import connect, database_url
from bagatelle_service.database.storage import Storage
from bagatelle_service.database.tables import AuditEntry, KeptAnswer, Student
from sqlalchemy import select

from tests.integration.databases import postgresql_with_two_roles, sqlite_url
from tests.integration.log_scan import LogScan
from tests.integration.served_school import ServedSchool, school_on
from tests.integration.serving import ServedProcess
from tests.integration.writing_client import WritingClient
from tests.seeded import seeded

KILLS = 50
CLIENTS = 4
SEED = 20270301
LATEST_KILL_SECONDS = 0.4
"""After a write was acknowledged; the moments are drawn with the seed, between at once and then."""


class Found(NamedTuple):
    """What is stored of students, however it came there."""

    students: dict[str, Student]
    makings: Counter[str]
    changes: Counter[str]
    kept: Counter[str]


@pytest.mark.slow
def test_killed_on_sqlite(tmp_path: Path, nothing_personal_in_logs: LogScan) -> None:
    kill_again_and_again(tmp_path, school_on(sqlite_url(tmp_path)), nothing_personal_in_logs)


@pytest.mark.slow
@pytest.mark.postgresql
def test_killed_on_postgresql(tmp_path: Path, nothing_personal_in_logs: LogScan) -> None:
    with postgresql_with_two_roles() as urls:
        kill_again_and_again(tmp_path, school_on(urls), nothing_personal_in_logs)


def kill_again_and_again(folder: Path, school: ServedSchool, scan: LogScan) -> None:
    moments = seeded(f"kills {SEED}")
    where = ["http://127.0.0.1:1"]  # nobody is there yet
    clients = [WritingClient(number, lambda: where[0], school.headers, scan) for number in range(CLIENTS)]
    process = ServedProcess(folder, **school.settings())
    try:
        for client in clients:
            client.start()
        for _ in range(KILLS):
            process.wait_until_live()
            where[0] = process.url
            wait_for_a_write(clients)
            time.sleep(moments.uniform(0, LATEST_KILL_SECONDS))
            process.kill()
            process = ServedProcess(folder, **school.settings())
        process.wait_until_live()
        where[0] = process.url
        for client in clients:
            client.stopping.set()
        for client in clients:
            client.join()
    finally:
        for client in clients:
            client.stopping.set()
        process.kill()
    check(clients, asyncio.run(what_is_stored(school)))


def wait_for_a_write(clients: Sequence[WritingClient]) -> None:
    before, until = sum(len(client.students) for client in clients), time.monotonic() + 30
    while sum(len(client.students) for client in clients) == before:
        assert time.monotonic() < until, "nobody writes"
        assert [client.fault for client in clients if client.fault] == []
        time.sleep(0.005)


async def what_is_stored(school: ServedSchool) -> Found:
    """Read the database itself, as the owner of its tables within the school."""
    engine = connect(database_url(school.owner_url))
    try:
        async with Storage(engine).read(UUID(school.id)) as session:
            students = {str(row.id): row for row in await session.scalars(select(Student))}
            by_pseudonym = {row.pseudonym: id_ for id_, row in students.items()}
            entries = [row for row in await session.scalars(select(AuditEntry)) if row.subject is not None]
            kept = [str(row.student_id) for row in await session.scalars(select(KeptAnswer))]
    finally:
        await engine.dispose()

    def subjects(operation: str) -> Counter[str]:
        # An entry of no student whom there is counts under its own name, and so is found.
        return Counter(
            by_pseudonym.get(row.subject, f"nobody: {row.subject}")
            for row in entries
            if row.operation == operation and row.subject is not None
        )

    return Found(students, subjects("make_student"), subjects("change_student"), Counter(kept))


def check(clients: Sequence[WritingClient], found: Found) -> None:
    assert [client.fault for client in clients] == [None] * len(clients)
    acknowledged = {student.id: student for client in clients for student in client.students}
    print(
        f"{len(acknowledged)} students, {sum(client.requests for client in clients)} requests, "
        f"{sum(client.repeats for client in clients)} of them without an answer"
    )
    assert sum(len(client.students) for client in clients) == len(acknowledged) > KILLS
    assert sum(client.repeats for client in clients) >= KILLS
    # All is there, as it was last acknowledged; and nothing else is: no retry made another.
    assert {id_: (row.display_name, row.revision) for id_, row in found.students.items()} == {
        id_: (student.display_name, student.revision) for id_, student in acknowledged.items()
    }
    once_each = Counter(dict.fromkeys(acknowledged, 1))
    assert found.makings == once_each
    assert found.kept == once_each
    assert found.changes == +Counter({id_: row.revision - 1 for id_, row in found.students.items()})
