"""`bagatelle operator token`: make a token of whoever runs the installation."""

import argparse
import sys
from typing import Any


def add_to(subparsers: "argparse._SubParsersAction[Any]") -> None:
    """Add the subcommand."""
    parser = subparsers.add_parser(
        "operator",
        help="make a token for whoever runs the installation",
        description="What whoever runs the installation needs to make schools over the API, in the database of "
        "BAGATELLE_DATABASE_URL. An absent SQLite file is created and migrated; any other database must have been "
        "migrated by `bagatelle migrate`.",
    )
    actions = parser.add_subparsers(title="actions", required=True, metavar="ACTION")
    token = actions.add_parser(
        "token",
        help="make a token and print it",
        description="Make a token that makes and archives schools and reaches nothing inside one, and print it. "
        "It is shown this once: only a hash of it is stored.",
    )
    token.set_defaults(func=_make_token)


def _make_token(_: argparse.Namespace) -> int:
    # Imported when it runs: the other subcommands need not wait for it.
    from bagatelle_service.operating import CannotOperateError, create_operator_token

    try:
        secret = create_operator_token()
    except CannotOperateError as error:
        print(f"bagatelle operator: {error}", file=sys.stderr)
        return 1
    print(f"Operator's token: {secret}")
    return 0
