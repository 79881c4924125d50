"""`bagatelle verify FILE`: check a plan's answer from its own numbers."""

import argparse
import sys
from typing import TYPE_CHECKING, Final

import msgspec

from bagatelle.command.printing import print_out
from bagatelle.verify import Verdict, verify_answer
from bagatelle.verify.reading import UnreadableAnswerError, read_answer
from bagatelle.verify.report import report_lines

if TYPE_CHECKING:
    Subparsers = argparse._SubParsersAction[argparse.ArgumentParser]  # noqa: SLF001 - argparse has no public name

ACCEPTED: Final = 0
REJECTED: Final = 1
UNREADABLE: Final = 2


def add_to(subparsers: "Subparsers") -> None:
    """Register the subcommand; its `func` takes the parsed arguments and gives the exit code."""
    parser = subparsers.add_parser(
        "verify",
        help="check a plan's answer from its own numbers",
        description=(
            "Checks legality, worth, bound and ladder of a plan from the numbers that its answer repeats, "
            "without the engine that made it. Exit code 0: accepted; 1: rejected; 2: the file cannot be read."
        ),
    )
    parser.add_argument(
        "file", metavar="FILE", help="the JSON answer of a compression; - reads standard input"
    )
    parser.add_argument("--json", action="store_true", help="print the verdict as JSON")
    parser.add_argument(
        "--thorough", action="store_true", help="find the optimum of every minute of the ladder again"
    )
    parser.set_defaults(func=run)


def run(arguments: argparse.Namespace) -> int:
    """Verify one file and print the verdict."""
    try:
        answer = read_answer(arguments.file)
    except UnreadableAnswerError as error:
        print(error, file=sys.stderr)
        return UNREADABLE
    verdict = verify_answer(answer, thorough=arguments.thorough)
    print_out(_as_json(verdict) if arguments.json else "\n".join(report_lines(arguments.file, verdict)))
    return ACCEPTED if verdict.accepted else REJECTED


def _as_json(verdict: Verdict) -> str:
    return msgspec.json.format(msgspec.json.encode(verdict), indent=2).decode()
