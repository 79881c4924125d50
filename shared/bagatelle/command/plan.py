"""`bagatelle plan FILE`: a routine file in, a plan as text or JSON out, no server."""

import argparse
import sys
from pathlib import Path
from typing import Any

import msgspec
from msgspec.structs import replace

from bagatelle.catalogue.loading import load_instruments
from bagatelle.command.printing import print_out
from bagatelle.decode import decode_request
from bagatelle.engine.compress import compress
from bagatelle.model.errors import (
    BagatelleError,
    InvalidInputError,
    NotSpecificError,
)
from bagatelle.model.plan import Finding
from bagatelle.page import page_of


def add_to(subparsers: "argparse._SubParsersAction[Any]") -> None:
    """Add the subcommand."""
    parser = subparsers.add_parser(
        "plan", help="make a short-day plan of a routine file", description=__doc__
    )
    parser.add_argument("file", metavar="FILE", help="a request as JSON; - reads standard input")
    parser.add_argument("--json", action="store_true", help="print the whole answer as JSON")
    parser.add_argument(
        "--measure", action="store_true", help="compare the ladder with the optimum at each whole minute"
    )
    parser.set_defaults(func=run)


def run(arguments: argparse.Namespace) -> int:
    """Print the plan. 0: made; 1: the request was refused; 2: the file can't be read."""
    try:
        body = sys.stdin.buffer.read() if arguments.file == "-" else Path(arguments.file).read_bytes()
    except OSError as error:
        print(f"bagatelle plan: {arguments.file} can't be read: {error.strerror}", file=sys.stderr)
        return 2
    try:
        request = decode_request(body)
        if arguments.measure:
            request = replace(request, measure_ladder=True)
        answer = compress(request, load_instruments())
    except BagatelleError as error:
        print(f"bagatelle plan: {_refusal(error)}", file=sys.stderr)
        return 1
    if arguments.json:
        print_out(msgspec.json.format(msgspec.json.encode(answer), indent=2).decode())
    else:
        print_out(page_of(answer.plan))
    return 0


def _refusal(error: BagatelleError) -> str:
    """What was wrong, where, and what would be accepted; one line each."""
    match error:
        case InvalidInputError():
            lines = [
                f"  {field.pointer or '/'}: {field.message}"
                + (f" Accepted: {field.accepted}" if field.accepted else "")
                for field in error.errors
            ]
            return "\n".join([f"{len(lines)} wrong field(s)", *lines])
        case NotSpecificError():
            findings = [finding for finding in error.findings if isinstance(finding, Finding)]
            return "\n".join([str(error), *(f"  {one.pointer}: {one.message}" for one in findings)])
        case _:
            return str(error)
