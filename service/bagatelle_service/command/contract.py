"""`bagatelle contract`: write the API's description, or tell whether the committed one is stale."""

import argparse
import sys
from typing import Any


def add_to(subparsers: "argparse._SubParsersAction[Any]") -> None:
    """Add the subcommand."""
    parser = subparsers.add_parser(
        "contract",
        help="write openapi/v1.json from the code",
        description="Write the API's description (OpenAPI 3.1) to openapi/v1.json.",
    )
    parser.add_argument("--check", action="store_true", help="write nothing; fail where the file is stale")
    parser.set_defaults(func=_contract)


def _contract(arguments: argparse.Namespace) -> int:
    # Imported when it runs: the other subcommands need not wait for it.
    from bagatelle_service.contract import contract_file, contract_text

    path, text = contract_file(), contract_text()
    if not arguments.check:
        path.write_text(text, encoding="utf-8")
        print(f"Written: {path}")
        return 0
    if path.read_text(encoding="utf-8") == text:
        return 0
    print(f"{path} is stale: run `bagatelle contract` and commit what it writes.", file=sys.stderr)
    return 1
