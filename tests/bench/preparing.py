"""Preparing plans for a whole school: students a second, and what each part of it costs."""

import asyncio
import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, date, datetime
from pathlib import Path
from statistics import mean
from tempfile import TemporaryDirectory
from time import perf_counter, process_time
from typing import Any, Final
from uuid import UUID, uuid4

import msgspec
from bagatelle import Instruments, load_instruments, prepare_all
from bagatelle.card.kinds import KINDS
from bagatelle_service.database.connection import connect, database_url
from bagatelle_service.database.migrating import upgrade
from bagatelle_service.database.storage import Storage
from bagatelle_service.database.tables import Routine, RoutineRevision, School, Student
from bagatelle_service.engine_processes import EngineProcesses
from bagatelle_service.preparing import sessions_of
from bagatelle_service.school.card_bodies import write_body
from bagatelle_service.school.card_sets import KindToPrepare, SetToPrepare, prepare_cards
from bagatelle_service.school.plan_versions import loaded_versions
from bagatelle_service.school.preparation_sums import Sums
from bagatelle_service.school.preparations import Only, WantedPreparations, prepare_many
from bagatelle_service.school.routine_document import (
    RoutineContent,
    RoutineDocument,
    document_of,
    planning_request,
    write_document,
)
from bagatelle_service.school.set_preparation import Preparation
from bagatelle_service.school.snapshots import snapshot_of
from bagatelle_service.settings import cores
from msgspec import Struct
from sqlalchemy import insert, text

from tests.bench.processor_time import parent_of, spent_seconds
from tests.bench.routines import sized_request
from tests.bench.tables import milliseconds, table
from tests.integration.databases import POSTGRESQL_VARIABLE, database_of_kind

STUDENTS: Final = int(os.environ.get("BAGATELLE_BENCH_STUDENTS", "600"))
"""10,000 take as long each: BAGATELLE_BENCH_STUDENTS=10000 shows it."""
SHAPES: Final = ((2, 2), (2, 3), (3, 2), (2, 4), (3, 3), (5, 2), (2, 5), (8, 3))
"""Blocks, and tasks in each, in turn: 4 to 10 tasks for most, 24 for every eighth."""
_SAMPLE: Final = 6 * len(SHAPES)
_NOW: Final = datetime(2027, 3, 1, 8, tzinfo=UTC)
_DAY: Final = date(2027, 3, 1)


class Run(Struct, frozen=True, kw_only=True):
    """A school gone through once."""

    seconds: float
    service_seconds: float
    """Of the processor, in the process that has the database's sessions."""
    engine_seconds: float
    database_seconds: float
    """Of a database that runs in processes of its own."""

    @property
    def processor_seconds(self) -> float:
        """Of all processes together."""
        return self.service_seconds + self.engine_seconds + self.database_seconds


def run() -> str:
    """Prepare a school on each database, and time the parts."""
    instruments = load_instruments()
    kinds = ["sqlite", *(["postgresql"] if POSTGRESQL_VARIABLE in os.environ else [])]
    rows = [row for kind in kinds for row in _rows(kind, instruments)]
    head = ("", "students a second", "processor time each", "engine", "service", "database", "on free cores")
    about = (
        f"{STUDENTS} students, each with a routine of their own, {len(KINDS)} plans each; {cores()} processes of "
        f"the engine. On free cores: what {cores()} that did nothing else would give, by the processor time."
    )
    return "\n\n".join(("## Preparing plans", about, table(head, rows), _parts(instruments)))


def document(index: int, instruments: Instruments) -> RoutineDocument:
    """The routine of that index; none is like another."""
    blocks, tasks = SHAPES[index % len(SHAPES)]
    request = sized_request(index, instruments, blocks=blocks, tasks_a_block=tasks)
    kept = {name: request[name] for name in ("instrument", "learner", "routine")}
    return document_of(msgspec.convert(kept, RoutineContent))


def _rows(kind: str, instruments: Instruments) -> list[tuple[str, ...]]:
    with TemporaryDirectory() as folder, database_of_kind(kind, Path(folder)) as url:
        first, again = asyncio.run(_prepared(url, instruments))
    return [_row(f"{kind}, the first time", first), _row(f"{kind}, again, all the same", again)]


def _row(name: str, done: Run) -> tuple[str, ...]:
    return (
        name,
        f"{STUDENTS / done.seconds:.0f}",
        milliseconds(done.processor_seconds / STUDENTS),
        milliseconds(done.engine_seconds / STUDENTS),
        milliseconds(done.service_seconds / STUDENTS),
        milliseconds(done.database_seconds / STUDENTS),
        f"{STUDENTS * cores() / done.processor_seconds:.0f}",
    )


async def _prepared(url: str, instruments: Instruments) -> tuple[Run, Run]:
    engine = connect(database_url(url))
    processes = EngineProcesses(cores(), clock_seconds=60)
    try:
        await upgrade(engine)
        storage = Storage(engine)
        school_id = await _school(storage, instruments)
        preparation = Preparation(sessions=sessions_of(storage, school_id), ask=processes.ask)
        await processes.start()
        # Until each process has loaded what it needs.
        question = msgspec.json.encode(
            SetToPrepare(document=document(0, instruments), day=_DAY, kinds=(KindToPrepare(kind="usual"),))
        )
        await asyncio.gather(*(processes.ask("prepare", question) for _ in range(4 * cores())))
        spent_by_database = await _database_clock(storage)
        first = await _timed(preparation, "missing", instruments, spent_by_database)
        return first, await _timed(preparation, "all", instruments, spent_by_database)
    finally:
        await processes.close()
        await engine.dispose()


async def _timed(
    preparation: Preparation, only: Only, instruments: Instruments, spent_by_database: Callable[[], float]
) -> Run:
    loaded, sums = loaded_versions(instruments), Sums()
    before = process_time(), spent_seconds(os.getpid()), spent_by_database(), perf_counter()
    async for done in prepare_many(preparation, WantedPreparations(only=only), loaded, cores() + 2):
        sums = sums.with_student(done.prepared)
    after = process_time(), spent_seconds(os.getpid()), spent_by_database(), perf_counter()
    if (sums.routines, sums.problems) != (STUDENTS, 0):
        raise AssertionError(f"not all were prepared: {sums}")
    service, everything, database, seconds = (late - early for late, early in zip(after, before, strict=True))
    return Run(
        seconds=seconds,
        service_seconds=service,
        engine_seconds=everything - service,
        database_seconds=database,
    )


async def _database_clock(storage: Storage) -> Callable[[], float]:
    """What reads the processor time of the database's own processes; none where it has none."""
    if storage.engine.dialect.name == "sqlite":
        return lambda: 0.0
    async with storage.engine.connect() as connection:
        backend = await connection.scalar(text("SELECT pg_backend_pid()"))
    server = parent_of(int(backend or 0))
    return lambda: spent_seconds(server)


async def _school(storage: Storage, instruments: Instruments) -> UUID:
    school_id = uuid4()
    bound = {"school_id": school_id, "created_at": _NOW, "archived_at": None}
    school = School(
        id=school_id,
        name="School",
        keeps_health_facts=False,
        retention_days=None,
        revision=1,
        created_at=_NOW,
        archived_at=None,
    )
    async with storage.operate(school_id) as session:
        session.add(school)
    students, routines, revisions = [], [], []
    for index in range(STUDENTS):
        student_id, routine_id = uuid4(), uuid4()
        person = {"key": None, "display_name": "x", "time_zone": "Europe/Oslo", "pseudonym": uuid4()}
        students.append({"id": student_id, "revision": 1, **person, **bound})
        origin = dict.fromkeys(("origin_id", "origin_revision", "copied_revision"))
        routine = {"id": routine_id, "student_id": student_id, "key": None, "revision": 1}
        routines.append({**routine, **origin, **bound})
        body = write_document(document(index, instruments))
        revision = {"routine_id": routine_id, "number": 1, "body": body}
        revisions.append({"school_id": school_id, "created_at": _NOW, **revision})
    async with storage.write(school_id) as session:
        for kind, rows in ((Student, students), (Routine, routines), (RoutineRevision, revisions)):
            await session.execute(insert(kind), rows)
    return school_id


def _parts(instruments: Instruments) -> str:
    documents = [document(index, instruments) for index in range(_SAMPLE)]
    requests = [planning_request(each, _DAY) for each in documents]
    sets = [prepare_all(request, instruments) for request in requests]
    cards = [[msgspec.json.encode(card) for card in made.cards] for made in sets]
    asked = [
        SetToPrepare(document=each, day=_DAY, kinds=tuple(KindToPrepare(kind=kind) for kind in KINDS))
        for each in documents
    ]
    spent: dict[str, list[float]] = {}
    for index in range(_SAMPLE):
        with _into(spent, "the engine: search, ladder, words"):
            prepare_all(requests[index], instruments)
        with _into(spent, "the catalogue's snapshot"):
            snapshot_of(documents[index], instruments)
        with _into(spent, "encoding the cards"):
            for card in sets[index].cards:
                msgspec.json.encode(card)
        with _into(spent, "compressing them"):
            for encoded in cards[index]:
                write_body(encoded)
        with _into(spent, "all that a process of the engine does"):
            prepare_cards(asked[index], instruments)
    rows = [(name, milliseconds(mean(seconds))) for name, seconds in spent.items()]
    sizes = [sum(map(len, each)) for each in cards]
    stored = [sum(len(write_body(encoded)) for encoded in each) for each in cards]
    return (
        f"{table(('part, for one student', 'processor time'), rows)}\n\n"
        f"A set of cards has {mean(sizes):,.0f} bytes and is stored in {mean(stored):,.0f}."
    )


@contextmanager
def _into(spent: dict[str, list[float]], name: str) -> Iterator[Any]:
    start = process_time()
    yield
    spent.setdefault(name, []).append(process_time() - start)
