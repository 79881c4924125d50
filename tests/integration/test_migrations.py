"""Migrations go up and down with data in the tables, and agree with the models."""

import asyncio
from collections.abc import Awaitable, Callable
from pathlib import Path
from typing import TypeVar

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from bagatelle_service.database.connection import connect, database_url
from bagatelle_service.database.migrating import (
    NotMigratedError,
    alembic_configuration,
    current_revision,
    downgrade,
    newest_revision,
    prepare,
    upgrade,
)
from bagatelle_service.database.tables import Installation, Table
from bagatelle_service.settings import SettingsError
from sqlalchemy import Connection, func, insert, inspect, select
from sqlalchemy.exc import IntegrityError
from sqlalchemy.ext.asyncio import AsyncEngine

from tests.integration.databases import sqlite_url

Result = TypeVar("Result")


def on_database(url: str, work: Callable[[AsyncEngine], Awaitable[Result]]) -> Result:
    async def run() -> Result:
        engine = connect(database_url(url))
        try:
            return await work(engine)
        finally:
            await engine.dispose()

    return asyncio.run(run())


def test_up_down_and_up_again_with_data(empty_database_url: str) -> None:
    async def work(engine: AsyncEngine) -> None:
        for _ in range(2):
            await upgrade(engine)
            assert await current_revision(engine) == newest_revision()
            async with engine.connect() as connection:
                assert await connection.scalar(select(func.count()).select_from(Installation)) == 1
            await downgrade(engine, "base")
            assert await current_revision(engine) is None
            async with engine.connect() as connection:
                tables = await connection.run_sync(lambda sync: inspect(sync).get_table_names())
            assert tables == ["alembic_version"]

    on_database(empty_database_url, work)


def test_every_step_goes_up_and_down_by_itself(empty_database_url: str) -> None:
    script = ScriptDirectory.from_config(alembic_configuration())
    steps = [revision.revision for revision in reversed(list(script.walk_revisions()))]

    async def work(engine: AsyncEngine) -> None:
        below = "base"
        for step in steps:
            await upgrade(engine, step)
            await downgrade(engine, below)
            await upgrade(engine, step)
            assert await current_revision(engine) == step
            below = step

    on_database(empty_database_url, work)


def test_models_and_migrations_agree(empty_database_url: str) -> None:
    def differences(connection: Connection) -> list[object]:
        context = MigrationContext.configure(
            connection, opts={"compare_type": True, "compare_server_default": True}
        )
        return list(compare_metadata(context, Table.metadata))

    async def work(engine: AsyncEngine) -> list[object]:
        await upgrade(engine)
        async with engine.connect() as connection:
            return await connection.run_sync(differences)

    assert on_database(empty_database_url, work) == []


def test_migrating_twice_changes_nothing(empty_database_url: str) -> None:
    async def work(engine: AsyncEngine) -> tuple[object, object]:
        found = []
        for _ in range(2):
            await upgrade(engine)
            async with engine.connect() as connection:
                found.append(
                    (await connection.execute(select(Installation.id, Installation.created_at))).one()
                )
        return found[0], found[1]

    first, second = on_database(empty_database_url, work)
    assert first == second


def test_there_is_one_installation_only(empty_database_url: str) -> None:
    async def work(engine: AsyncEngine) -> None:
        await upgrade(engine)
        async with engine.begin() as connection:
            row = (await connection.execute(select(Installation.id, Installation.created_at))).one()
            values = {"only_row": 2, "id": row.id, "created_at": row.created_at}
            with pytest.raises(IntegrityError):
                await connection.execute(insert(Installation).values(**values))

    on_database(empty_database_url, work)


@pytest.mark.parametrize("name", [f"{letter}.sqlite3" for letter in "abcdefghij"])
def test_eight_at_once_migrate_an_absent_sqlite_file_once(tmp_path: Path, name: str) -> None:
    """All set the journal of the same new file, for which SQLite's own timeout does not wait."""
    url = f"sqlite:///{tmp_path / name}"

    async def work(engine: AsyncEngine) -> int | None:
        others = [connect(database_url(url)) for _ in range(7)]
        try:
            await asyncio.gather(*map(upgrade, (engine, *others)))
        finally:
            for other in others:
                await other.dispose()
        async with engine.connect() as connection:
            return await connection.scalar(select(func.count()).select_from(Installation))

    assert on_database(url, work) == 1


def test_an_absent_sqlite_file_is_prepared(tmp_path: Path) -> None:
    async def work(engine: AsyncEngine) -> str | None:
        await prepare(engine)
        return await current_revision(engine)

    assert on_database(sqlite_url(tmp_path), work) == newest_revision()


def test_an_existing_database_is_never_migrated_by_preparing(empty_database_url: str) -> None:
    async def work(engine: AsyncEngine) -> None:
        await upgrade(engine)
        await downgrade(engine, "base")
        with pytest.raises(NotMigratedError, match="bagatelle migrate"):
            await prepare(engine)
        assert await current_revision(engine) is None

    on_database(empty_database_url, work)


def test_sqlite_is_set_up_for_writers_that_wait(tmp_path: Path) -> None:
    async def work(engine: AsyncEngine) -> list[object]:
        async with engine.connect() as connection:
            return [
                (await connection.exec_driver_sql(f"PRAGMA {name}")).scalar_one()
                for name in ("journal_mode", "foreign_keys", "busy_timeout")
            ]

    assert on_database(sqlite_url(tmp_path), work) == ["wal", 1, 20_000]


@pytest.mark.parametrize("text", ["", "nonsense", "mysql://root@localhost/x", "oracle://x"])
def test_another_kind_of_database_is_refused(text: str) -> None:
    with pytest.raises(SettingsError, match="sqlite:///FILE or postgresql://"):
        database_url(text)
