"""From revision 0005, which was released, to 0006 and back: what a school had is there, and is served."""

import asyncio
from typing import Any
from uuid import UUID, uuid4

import pytest
from bagatelle import load_instruments
from bagatelle_service.database.migrating import (
    CannotMigrateError,
    current_revision,
    downgrade,
    migrate,
    newest_revision,
    upgrade,
)
from bagatelle_service.database.tables import CatalogueSnapshot, LogEntry, Routine
from sqlalchemy import Connection, Date, DateTime, TableClause, Uuid, column, func, insert, select, table
from sqlalchemy.ext.asyncio import AsyncEngine

from tests.integration.every_table import say_who_works
from tests.integration.school import As, service_on
from tests.integration.school_of_0005 import DOCUMENT, KEYS, MADE_AT, SchoolOf0005, school_of_0005
from tests.integration.test_migrations import on_database

ORIGIN = (Routine.origin_id, Routine.origin_revision, Routine.copied_revision)
DAY = MADE_AT.date()
TYPES: dict[str, type[Uuid[UUID]] | type[Date]] = {
    **dict.fromkeys(("school_id", "student_id", "routine_id", "id"), Uuid),
    "day": Date,
}
HASH = "0" * 64


def former(name: str, *columns: str) -> TableClause:
    """A table as 0005 has it, which is none of the models' any more; ids and days have types of their own."""
    typed = (column(each, TYPES.get(each)) for each in columns)
    return table(name, *typed, column("created_at", DateTime(timezone=True)))


SHEET = former("day_sheet", "school_id", "student_id", "day", "body", "revision")
PLAN = former(
    *("prepared_plan", "school_id", "id", "routine_id", "routine_revision", "catalogue_hash"),
    *("kind", "body", "revision"),
)


async def at_0005(engine: AsyncEngine) -> SchoolOf0005:
    await upgrade(engine, "0005")
    async with engine.begin() as connection:
        return await connection.run_sync(school_of_0005)


def test_a_routine_of_0005_is_served(empty_database_url: str) -> None:
    async def work(engine: AsyncEngine) -> tuple[SchoolOf0005, object]:
        school = await at_0005(engine)
        await upgrade(engine)
        async with engine.begin() as connection:
            await connection.run_sync(say_who_works, school.school_id)
            return school, tuple((await connection.execute(select(*ORIGIN))).one())

    school, origin = on_database(empty_database_url, work)
    assert origin == (None, None, None)
    with service_on(empty_database_url, instruments=load_instruments()) as service:
        owner = As(service.api, school.secret)
        shown = owner.get(f"/v1/routines/{school.routine_id}").json()
        assert shown["student"] == str(school.student_id)
        assert {task["key"]: UUID(task["id"]) for task in shown["tasks"]} == school.tasks
        prepared = owner.post(f"/v1/routines/{school.routine_id}/plans", {})
        assert prepared.status_code == 200, prepared.text
        (usual,) = (plan for plan in prepared.json()["plans"] if plan["kind"] == "usual")
        card = owner.get(f"/v1/plans/{usual['plan']}").json()["card"]
        assert {task["id"] for task in card["tasks"]} >= set(KEYS)
        day = owner.put(f"/v1/students/{school.student_id}/days/{DAY}", {"minutes": 10})
        assert day.status_code == 200, day.text


def test_going_back_takes_what_0005_has_no_place_for_and_nothing_else(empty_database_url: str) -> None:
    async def work(engine: AsyncEngine) -> None:
        school = await at_0005(engine)
        await upgrade(engine)
        async with engine.begin() as connection:
            await connection.run_sync(add_an_entry, school)
        await downgrade(engine, "0005")
        async with engine.begin() as connection:
            assert await connection.run_sync(left, school) == (["week"], [DOCUMENT], [300])
        await upgrade(engine)
        async with engine.begin() as connection:
            assert await connection.run_sync(left, school) == (["week"], [DOCUMENT], [300])

    on_database(empty_database_url, work)


def add_an_entry(connection: Connection, school: SchoolOf0005) -> None:
    say_who_works(connection, school.school_id)
    entry = {
        "school_id": school.school_id,
        "id": uuid4(),
        "student_id": school.student_id,
        "task_id": school.tasks["waltz"],
        "routine_id": school.routine_id,
        "routine_revision": 1,
        "units": "[]",
        "area": "repertoire",
        "step": "waltz",
        "day": DAY,
        "kind": "usual",
        "seconds": 300,
        "fingerprint": b"f" * 16,
        "revision": 1,
        "created_at": MADE_AT,
    }
    connection.execute(insert(LogEntry), entry)


def left(connection: Connection, school: SchoolOf0005) -> tuple[list[Any], ...]:
    """The routine's key, what it holds, and the seconds of what was logged: all that both revisions have."""
    say_who_works(connection, school.school_id)
    columns = (
        table("routine", column("key")).c.key,
        table("routine_revision", column("body")).c.body,
        table("log_entry", column("seconds")).c.seconds,
    )
    return tuple(list(connection.scalars(select(each))) for each in columns)


def add_a_plan(connection: Connection, school: SchoolOf0005) -> None:
    common = {"school_id": school.school_id, "body": "{}", "created_at": MADE_AT}
    connection.execute(insert(CatalogueSnapshot), common | {"hash": HASH})
    plan = {"id": uuid4(), "routine_id": school.routine_id, "routine_revision": 1, "catalogue_hash": HASH}
    connection.execute(insert(PLAN), common | plan | {"kind": "usual", "revision": 1})


def add_a_sheet(connection: Connection, school: SchoolOf0005) -> None:
    sheet = {"student_id": school.student_id, "day": DAY, "body": "{}", "revision": 1, "created_at": MADE_AT}
    connection.execute(insert(SHEET), {"school_id": school.school_id} | sheet)


@pytest.mark.parametrize(("name", "add"), [("prepared_plan", add_a_plan), ("day_sheet", add_a_sheet)])
def test_rows_in_the_former_form_are_refused_and_stay(empty_database_url: str, name: str, add: Any) -> None:
    """No service wrote one; whoever did by hand is told, rather than lose it."""

    async def prepared(engine: AsyncEngine) -> SchoolOf0005:
        school = await at_0005(engine)
        async with engine.begin() as connection:
            await connection.run_sync(say_who_works, school.school_id)
            await connection.run_sync(add, school)
        return school

    async def rows(engine: AsyncEngine, school: SchoolOf0005) -> tuple[str | None, int | None]:
        async with engine.begin() as connection:
            await connection.run_sync(say_who_works, school.school_id)
            count = await connection.scalar(select(func.count()).select_from(table(name)))
        return await current_revision(engine), count

    school = on_database(empty_database_url, prepared)
    with pytest.raises(CannotMigrateError, match=rf"left as it was: the table {name} holds rows \(1\)"):
        asyncio.run(migrate(empty_database_url))
    assert on_database(empty_database_url, lambda engine: rows(engine, school)) == ("0005", 1)
    assert newest_revision() != "0005"
