"""`bagatelle sheets check`: make every stored day sheet again and compare."""

import argparse
import asyncio
import sys
from typing import Any


def add_to(subparsers: "argparse._SubParsersAction[Any]") -> None:
    """Add the subcommand."""
    parser = subparsers.add_parser(
        "sheets",
        help="make every stored day sheet again, and see that it is the same",
        description="The day sheets of the database of BAGATELLE_DATABASE_URL.",
    )
    actions = parser.add_subparsers(required=True, metavar="ACTION")
    check = actions.add_parser(
        "check",
        help="make every stored sheet again; 1 where one comes out otherwise",
        description="Make every stored sheet again from what is stored of what it was made from. Prints the school "
        "and the date of each that comes out otherwise, then how many there are.",
    )
    check.set_defaults(func=_check)


def _check(_: argparse.Namespace) -> int:
    # Imported when it runs: the other subcommands need not wait for it.
    from bagatelle_service.database.errors import StorageError
    from bagatelle_service.database.migrating import NotMigratedError
    from bagatelle_service.settings import SettingsError

    try:
        return asyncio.run(_check_all())
    except (SettingsError, NotMigratedError, StorageError) as error:
        print(f"bagatelle sheets: {error}", file=sys.stderr)
        return 1


async def _check_all() -> int:
    from bagatelle_service.database.opening import opened_storage
    from bagatelle_service.school.sheet_checking import check_sheets
    from bagatelle_service.settings import settings_from_environment

    same = other = 0
    async with opened_storage(settings_from_environment().database_url) as storage:
        async for sheet in check_sheets(storage):
            if sheet.is_same:
                same += 1
            else:
                other += 1
                print(f"Of another content: school {sheet.school_id}, {sheet.day}")
    print(f"Sheets made again: {same} the same, {other} otherwise.")
    return 1 if other else 0
