"""`bagatelle contract`: write the API's description, or tell whether the committed one is stale."""

import argparse
import sys
from pathlib import Path
from typing import Any

from bagatelle import Instruments

from bagatelle_service.api.document import build_document, document_text
from bagatelle_service.app import create_app
from bagatelle_service.bundled import bundled_folder
from bagatelle_service.settings import Settings

FILE = "v1.json"


def add_to(subparsers: "argparse._SubParsersAction[Any]") -> None:
    """Add the subcommand."""
    parser = subparsers.add_parser(
        "contract",
        help="write openapi/v1.json from the code",
        description="Write the API's description (OpenAPI 3.1) to openapi/v1.json.",
    )
    parser.add_argument("--check", action="store_true", help="write nothing; fail where the file is stale")
    parser.set_defaults(func=contract)


def contract(arguments: argparse.Namespace) -> int:
    """Write the file, or check it."""
    path, text = contract_file(), contract_text()
    if not arguments.check:
        path.write_text(text, encoding="utf-8")
        print(f"Written: {path}")
        return 0
    if path.read_text(encoding="utf-8") == text:
        return 0
    print(f"{path} is stale: run `bagatelle contract` and commit what it writes.", file=sys.stderr)
    return 1


def contract_file() -> Path:
    """Find the committed description."""
    return bundled_folder("openapi") / FILE


def contract_text() -> str:
    """Describe the API as it is in the code, whatever plugins are installed."""
    frame = create_app(Settings(database_url="sqlite://"), Instruments.none())
    return document_text(build_document(frame.litestar.routes))
