"""`bagatelle retention`: delete what is too old, in every school. To be run once a day."""

import argparse
import asyncio
import sys
from datetime import UTC, datetime
from typing import Any


def add_to(subparsers: "argparse._SubParsersAction[Any]") -> None:
    """Add the subcommand."""
    parser = subparsers.add_parser(
        "retention",
        help="delete what is older than each school keeps; run it once a day",
        description="Delete logs, day sheets and trail that are older than a school's retention, erase students "
        "who were archived before it, and delete old answers, invitations and tokens. Prints a line a school.",
    )
    parser.set_defaults(func=_retention)


def _retention(_: argparse.Namespace) -> int:
    # Imported when it runs: the other subcommands need not wait for it.
    from bagatelle_service.database.errors import StorageError
    from bagatelle_service.database.migrating import NotMigratedError
    from bagatelle_service.settings import SettingsError

    try:
        asyncio.run(_keep_to_retention())
    except (SettingsError, NotMigratedError, StorageError) as error:
        print(f"bagatelle retention: {error}", file=sys.stderr)
        return 1
    return 0


async def _keep_to_retention() -> None:
    from bagatelle_service.database.opening import opened_storage
    from bagatelle_service.school.erasure_ledger import Ledger
    from bagatelle_service.school.retention import keep_to_retention
    from bagatelle_service.settings import settings_from_environment

    settings = settings_from_environment()
    async with opened_storage(settings.database_url) as storage:
        gone = await keep_to_retention(storage, datetime.now(UTC), Ledger(settings.erasure_ledger))
    for each in gone:
        print(
            f"School {each.school_id}: {each.students} students erased; deleted {each.log_entries} log entries, "
            f"{each.day_sheets} day sheets, {each.trail_entries} trail entries, {each.kept_answers} kept answers, "
            f"{each.invitations} invitations, {each.tokens} tokens."
        )
