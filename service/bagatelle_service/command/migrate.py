"""`bagatelle migrate`: bring a database to the revision that this version needs."""

import argparse
import asyncio
import sys
from typing import Any


def add_to(subparsers: "argparse._SubParsersAction[Any]") -> None:
    """Add the subcommand."""
    parser = subparsers.add_parser(
        "migrate",
        help="bring the database to the newest revision",
        description="Migrate the database of BAGATELLE_DATABASE_URL (an SQLite file in the current folder where "
        "that is not set) to the newest revision, and make the file where there is none. Make a backup first.",
    )
    parser.add_argument(
        "--grant-to",
        metavar="ROLE",
        help="PostgreSQL: grant this role, which is there already and owns nothing, what `serve` needs",
    )
    parser.set_defaults(func=_migrate)


def _migrate(arguments: argparse.Namespace) -> int:
    # Imported when it runs: the other subcommands need not wait for it.
    from bagatelle_service.database.migrating import CannotMigrateError, migrate
    from bagatelle_service.settings import SettingsError, settings_from_environment

    try:
        print(asyncio.run(migrate(settings_from_environment().database_url, arguments.grant_to)))
    except (SettingsError, CannotMigrateError, FileNotFoundError) as error:
        print(f"bagatelle migrate: {error}", file=sys.stderr)
        return 1
    return 0
