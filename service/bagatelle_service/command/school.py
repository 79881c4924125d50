"""`bagatelle school create`: make a school, as its operator."""

import argparse
import sys
from typing import Any


def add_to(subparsers: "argparse._SubParsersAction[Any]") -> None:
    """Add the subcommand."""
    parser = subparsers.add_parser(
        "school",
        help="make a school, with its first owner",
        description="Make a school in the database of BAGATELLE_DATABASE_URL. An absent SQLite file is created "
        "and migrated; any other database must have been migrated by `bagatelle migrate`.",
    )
    actions = parser.add_subparsers(title="actions", required=True, metavar="ACTION")
    create = actions.add_parser(
        "create",
        help="make one; print its id and its owner's token",
        description="Make a school and its first owner, and print the school's id and the owner's token. The "
        "token is shown this once: only a hash of it is stored.",
    )
    create.add_argument("name", metavar="NAME", help="what the school is called")
    create.add_argument(
        "--owner",
        metavar="NAME",
        default="Owner",
        help="what its first owner is called (default: %(default)s)",
    )
    create.set_defaults(func=_create)


def _create(arguments: argparse.Namespace) -> int:
    # Imported when it runs: the other subcommands need not wait for it.
    from bagatelle_service.operating import CannotOperateError, create_school

    try:
        made = create_school(arguments.name, arguments.owner)
    except CannotOperateError as error:
        print(f"bagatelle school: {error}", file=sys.stderr)
        return 1
    print(f"School: {made.school.id}")
    print(f"Owner's token: {made.secret}")
    return 0
