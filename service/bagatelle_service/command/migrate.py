"""`bagatelle migrate`: bring a database to the revision that this version needs."""

import argparse
import asyncio
import sys
from typing import Any

from sqlalchemy import select
from sqlalchemy.exc import SQLAlchemyError
from sqlalchemy.ext.asyncio import AsyncEngine

from bagatelle_service.database.connection import connect, database_url
from bagatelle_service.database.migrating import current_revision, upgrade
from bagatelle_service.database.tables import Installation
from bagatelle_service.settings import SettingsError, settings_from_environment


def add_to(subparsers: "argparse._SubParsersAction[Any]") -> None:
    """Add the subcommand."""
    parser = subparsers.add_parser(
        "migrate",
        help="bring the database to the newest revision",
        description="Migrate the database of BAGATELLE_DATABASE_URL (an SQLite file in the current folder where "
        "that is not set). A database that is there already is left alone. Make a backup first.",
    )
    parser.set_defaults(func=migrate)


def migrate(_: argparse.Namespace) -> int:
    """Migrate, and say what the database is now."""
    try:
        engine = connect(database_url(settings_from_environment().database_url))
        print(asyncio.run(_migrate(engine)))
    except (SettingsError, FileNotFoundError) as error:
        print(f"bagatelle migrate: {error}", file=sys.stderr)
        return 1
    except (SQLAlchemyError, OSError) as error:
        print(f"bagatelle migrate: {error}", file=sys.stderr)
        return 1
    return 0


async def _migrate(engine: AsyncEngine) -> str:
    try:
        before = await current_revision(engine)
        await upgrade(engine)
        after = await current_revision(engine)
        async with engine.connect() as connection:
            row = (await connection.execute(select(Installation.id, Installation.created_at))).one()
    finally:
        await engine.dispose()
    change = f"already at revision {after}" if before == after else f"revision {before or 'none'} to {after}"
    return f"Database migrated: {change}. Installation {row.id}, made {row.created_at:%Y-%m-%d}."
