"""Every migration goes down and up with a row in every table, and takes nothing that is not its own."""

from collections.abc import Callable, Iterable
from typing import TypeVar
from uuid import UUID

from alembic.script import ScriptDirectory
from bagatelle_service.database.migrating import (
    alembic_configuration,
    current_revision,
    downgrade,
    newest_revision,
    upgrade,
)
from bagatelle_service.database.tables import Table
from sqlalchemy import Connection, inspect
from sqlalchemy.ext.asyncio import AsyncEngine

from tests.integration.every_table import counts, fill_every_table, say_who_works
from tests.integration.test_migrations import on_database

Result = TypeVar("Result")
EVERY_TABLE = {table.name for table in Table.metadata.sorted_tables}
_ALEMBICS_OWN = {"alembic_version"}
EMPTIED_BY_GOING_DOWN_TO = {"0005": {"prepared_plan", "day_sheet"}}
"""Tables that have no place for the rows of the revision above, which says so."""


async def done(engine: AsyncEngine, work: Callable[[Connection], Result]) -> Result:
    async with engine.begin() as connection:
        return await connection.run_sync(work)


def tables_of(connection: Connection) -> set[str]:
    return set(inspect(connection).get_table_names()) - _ALEMBICS_OWN


def rows_there(connection: Connection, school_id: UUID) -> dict[str, int]:
    say_who_works(connection, school_id)
    return counts(connection, tables_of(connection))


def revisions_down() -> list[str]:
    """Name the revisions below the newest, from the top, the base last."""
    script = ScriptDirectory.from_config(alembic_configuration())
    return [*[revision.revision for revision in script.walk_revisions()][1:], "base"]


def one_row_in_each(tables: Iterable[str], emptied: set[str]) -> dict[str, int]:
    return {table: 0 if table in emptied else 1 for table in tables}


def test_down_step_by_step_and_up_again_with_a_row_in_every_table(empty_database_url: str) -> None:
    async def work(engine: AsyncEngine) -> None:
        await upgrade(engine)
        school_id = await done(engine, fill_every_table)
        there = await done(engine, lambda connection: rows_there(connection, school_id))
        assert there == dict.fromkeys(EVERY_TABLE, 1)
        emptied: set[str] = set()
        for below in revisions_down():
            await downgrade(engine, below)
            emptied |= EMPTIED_BY_GOING_DOWN_TO.get(below, set())
            left = await done(engine, lambda connection: rows_there(connection, school_id))
            assert left == one_row_in_each(left, emptied), f"rows were lost going down to {below}"
        assert await done(engine, tables_of) == set()
        await upgrade(engine)
        await done(engine, fill_every_table)
        assert await current_revision(engine) == newest_revision()

    on_database(empty_database_url, work)


def test_each_step_up_keeps_the_rows_from_below(empty_database_url: str) -> None:
    """Down one step and up again, with all that the step left: nothing is lost, nothing stands in the way."""

    async def work(engine: AsyncEngine) -> None:
        await upgrade(engine)
        school_id = await done(engine, fill_every_table)
        emptied: set[str] = set()
        for below in revisions_down()[:-1]:
            above = await current_revision(engine)
            await downgrade(engine, below)
            emptied |= EMPTIED_BY_GOING_DOWN_TO.get(below, set())
            before = await done(engine, lambda connection: rows_there(connection, school_id))
            await upgrade(engine, above or "head")
            after = await done(engine, lambda connection: rows_there(connection, school_id))
            assert {name: after[name] for name in before} == before == one_row_in_each(before, emptied)
            await downgrade(engine, below)

    on_database(empty_database_url, work)
