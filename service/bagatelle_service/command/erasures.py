"""`bagatelle erasures`: the ledger of erased students, and erasing them again in a restored backup."""

import argparse
import asyncio
import sys
from datetime import UTC, datetime
from pathlib import Path
from typing import Any


def add_to(subparsers: "argparse._SubParsersAction[Any]") -> None:
    """Add the subcommand."""
    parser = subparsers.add_parser(
        "erasures",
        help="list erased students by their hashes, or erase them again in a restored backup",
        description="The ledger of erasures, of the database of BAGATELLE_DATABASE_URL.",
    )
    actions = parser.add_subparsers(required=True, metavar="ACTION")
    listing = actions.add_parser("list", help="print the ledger's table, one JSON object a line")
    listing.set_defaults(func=_list)
    again = actions.add_parser(
        "replay",
        help="erase every student of a ledger who is there again",
        description="Erase every student of a ledger who is there again: to be run on a restored backup before "
        "anybody is served from it.",
    )
    again.add_argument(
        "file",
        metavar="FILE",
        type=Path,
        help="what BAGATELLE_ERASURE_LEDGER named, or `erasures list` printed",
    )
    again.set_defaults(func=_replay)


def _list(_: argparse.Namespace) -> int:
    return _run(_print_ledger())


def _replay(arguments: argparse.Namespace) -> int:
    return _run(_replay_file(arguments.file))


async def _print_ledger() -> None:
    # Imported when it runs: the other subcommands need not wait for it.
    import msgspec

    from bagatelle_service.database.opening import opened_storage
    from bagatelle_service.school.erasures import noted_erasures
    from bagatelle_service.settings import settings_from_environment

    async with opened_storage(settings_from_environment().database_url) as storage:
        async for line in noted_erasures(storage):
            print(msgspec.json.encode(line).decode())


async def _replay_file(file: Path) -> None:
    from bagatelle_service.database.opening import opened_storage
    from bagatelle_service.school.erasure_ledger import read_ledger
    from bagatelle_service.school.erasures import replay
    from bagatelle_service.settings import settings_from_environment

    lines = read_ledger(file)
    async with opened_storage(settings_from_environment().database_url) as storage:
        done = await replay(storage, lines, datetime.now(UTC))
    print(
        f"{done.lines} lines read, {done.erased} students erased again, "
        f"{done.unknown_schools} schools unknown here."
    )


def _run(work: Any) -> int:
    from bagatelle_service.database.errors import StorageError
    from bagatelle_service.database.migrating import NotMigratedError
    from bagatelle_service.settings import SettingsError

    try:
        asyncio.run(work)
    except (SettingsError, NotMigratedError, StorageError) as error:
        print(f"bagatelle erasures: {error}", file=sys.stderr)
        return 1
    return 0
