"""`bagatelle prepare`: prepare the plans of a school's students, with a bar that shows how far it is."""

import argparse
import asyncio
import sys
from typing import Any


def add_to(subparsers: "argparse._SubParsersAction[Any]") -> None:
    """Add the subcommand."""
    parser = subparsers.add_parser(
        "prepare",
        help="prepare the plans of a school's students",
        description="Prepare the plans of all students of a school, or of one group, as POST /v1/preparations "
        "does, on the database itself and with a process for each core. Each student is done whole or not at all: "
        "it may be stopped at any time, and the next run goes on from there. What comes to a problem is named by "
        "the id of its routine; then it ends with 1.",
    )
    parser.add_argument("--school", required=True, metavar="ID", help="the school's id")
    parser.add_argument(
        "--only",
        choices=("missing", "outdated", "all"),
        default="outdated",
        help="routines without a plan; those too of which a plan is outdated; or all (default: %(default)s)",
    )
    parser.add_argument("--group", metavar="ID", help="only the students of this group")
    parser.add_argument("--dry-run", action="store_true", help="only say what would change; store nothing")
    parser.set_defaults(func=_prepare)


def _prepare(arguments: argparse.Namespace) -> int:
    # Imported when it runs: the other subcommands need not wait for it.
    from bagatelle_service.command.progress_bar import watched
    from bagatelle_service.database.errors import StorageError
    from bagatelle_service.database.migrating import NotMigratedError
    from bagatelle_service.preparing import UnknownSchoolError, prepare_school, wanted_by
    from bagatelle_service.school.errors import SchoolError
    from bagatelle_service.settings import SettingsError

    try:
        wanted = wanted_by(arguments.only, arguments.group, dry_run=arguments.dry_run)
        sums = asyncio.run(prepare_school(arguments.school, wanted, watched))
    except (SettingsError, NotMigratedError, StorageError, SchoolError, UnknownSchoolError) as error:
        print(f"bagatelle prepare: {error}", file=sys.stderr)
        return 1
    would = "would change" if arguments.dry_run else "changed"
    print(
        f"{sums.students} students, {sums.routines} routines: {sums.changed} {would}, {sums.same} stay as they "
        f"were, {sums.problems} came to a problem."
    )
    return 1 if sums.problems else 0
