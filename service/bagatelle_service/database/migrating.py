"""Migrations: run them, or say where a database stands."""

from collections.abc import Callable
from pathlib import Path

from alembic import command
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from alembic.util import CommandError
from sqlalchemy import Connection, select
from sqlalchemy.engine import URL
from sqlalchemy.exc import OperationalError, SQLAlchemyError
from sqlalchemy.ext.asyncio import AsyncEngine

from bagatelle_service.bundled import bundled_folder
from bagatelle_service.database.connection import connect, database_url, in_one_line
from bagatelle_service.database.roles import NoSuchRoleError, grant_to
from bagatelle_service.database.tables import Installation

HEAD = "head"


class CannotMigrateError(Exception):
    """The database cannot be migrated. Says why."""


class NotMigratedError(Exception):
    """The database is not at the newest revision. Says what to do."""


def alembic_configuration() -> Config:
    """Point alembic at the migrations, wherever this installation has them."""
    configuration = Config()
    configuration.set_main_option("script_location", str(bundled_folder("migrations")).replace("%", "%%"))
    return configuration


def newest_revision() -> str:
    """Name the revision that the code wants."""
    head = ScriptDirectory.from_config(alembic_configuration()).get_current_head()
    if head is None:
        raise FileNotFoundError("This installation of bagatelle-service has no migrations.")
    return head


async def current_revision(engine: AsyncEngine) -> str | None:
    """Name the revision that a database is at; None where it was never migrated."""
    async with engine.connect() as connection:
        return await connection.run_sync(_read_revision)


def _read_revision(connection: Connection) -> str | None:
    return MigrationContext.configure(connection).get_current_revision()


async def upgrade(engine: AsyncEngine, revision: str = HEAD, *, role: str | None = None) -> None:
    """Migrate upwards, all in one transaction. Two at once wait for one another.

    :param role: who is granted what serving needs, in the same transaction.
    :raises NoSuchRoleError: where there is no such role; then nothing is changed.
    """
    await _migrate(engine, command.upgrade, revision, role)


async def downgrade(engine: AsyncEngine, revision: str) -> None:
    """Migrate downwards, all in one transaction."""
    await _migrate(engine, command.downgrade, revision)


async def _migrate(
    engine: AsyncEngine, direction: Callable[[Config, str], None], revision: str, role: str | None = None
) -> None:
    configuration = alembic_configuration()

    def run(connection: Connection) -> None:
        configuration.attributes["connection"] = connection
        direction(configuration, revision)

    async with engine.begin() as connection:
        await connection.run_sync(run)
        if role is not None:
            await grant_to(connection, role)


def sqlite_file(url: URL) -> Path | None:
    """Name the file of an SQLite database; None for another database, or for one in memory."""
    if url.get_backend_name() != "sqlite" or url.database in (None, "", ":memory:"):
        return None
    return Path(str(url.database))


def _refuse_missing_folder(url: URL) -> None:
    """Say that an SQLite file has no folder before a thread of the driver meets it and outlives the loop."""
    file = sqlite_file(url)
    if file is not None and not file.parent.is_dir():
        raise OSError(f"unable to open database file {file}: its folder does not exist")


async def prepare(engine: AsyncEngine) -> None:
    """Make the database fit to serve from: an absent SQLite file is created and migrated, nothing else is.

    :raises NotMigratedError: where an existing database is not at the newest revision. Existing data is
        migrated by `bagatelle migrate` alone, when somebody who has a backup says so.
    """
    _refuse_missing_folder(engine.url)
    file = sqlite_file(engine.url)
    if file is not None and not file.exists():
        await upgrade(engine)
    await refuse_other_revision(engine)


async def refuse_other_revision(engine: AsyncEngine) -> None:
    """See that a database is at the newest revision.

    :raises NotMigratedError: where it is at another.
    """
    current, newest = await current_revision(engine), newest_revision()
    if current != newest:
        raise NotMigratedError(
            f"The database is at revision {current or 'none'}, and this version needs {newest}. "
            "Make a backup, then run `bagatelle migrate`."
        )


async def migrate(url: str, role: str | None = None) -> str:
    """Migrate the database of a URL to the newest revision, and say in a line what it is now.

    :param role: who is granted what serving needs, in the transaction that migrates.
    :raises SettingsError: where the URL is none that the service can use.
    :raises CannotMigrateError: where the database is out of reach, or a migration failed and was undone.
    """
    engine = connect(database_url(url))
    try:
        _refuse_missing_folder(engine.url)
        before = await current_revision(engine)
        await upgrade(engine, role=role)
        after = await current_revision(engine)
        async with engine.connect() as connection:
            row = (await connection.execute(select(Installation.id, Installation.created_at))).one()
    except (OSError, OperationalError) as error:
        raise CannotMigrateError(f"the database is out of reach: {in_one_line(error)}") from error
    except (SQLAlchemyError, CommandError, NoSuchRoleError) as error:
        raise CannotMigrateError(f"the database is left as it was: {in_one_line(error)}") from error
    finally:
        await engine.dispose()
    change = f"already at revision {after}" if before == after else f"revision {before or 'none'} to {after}"
    granted = "" if role is None else f" The role {role!r} may serve from it."
    return f"Database migrated: {change}. Installation {row.id}, made {row.created_at:%Y-%m-%d}.{granted}"
