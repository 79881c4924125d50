"""`bagatelle plugin`: begin a plugin, check one, list its ids."""

import argparse
import sys
from pathlib import Path
from typing import Any, Final

from bagatelle.command.printing import print_out
from bagatelle.kit.beginning import BeginningError, begin_plugin
from bagatelle.kit.checking import check_project, ids_of, joined, read_ids
from bagatelle.kit.checks import CHECKS
from bagatelle.kit.identifiers import written_listing
from bagatelle.kit.report import report_lines
from bagatelle.kit.subject import SubjectError, subjects_of

RIGHT: Final = 0
WRONG: Final = 1
UNREADABLE: Final = 2
INTERRUPTED: Final = 130
"""What a shell says of a command that Ctrl-C ended."""
_SUBJECT_HELP: Final = "a plugin's project folder, a catalogue in TOML, or the name of an installed plugin"


def add_to(subparsers: "argparse._SubParsersAction[Any]") -> None:
    """Add the subcommand."""
    parser = subparsers.add_parser(
        "plugin", help="begin a plugin, check one, list its ids", description="For authors of plugins."
    )
    actions = parser.add_subparsers(title="actions", required=True, metavar="ACTION")
    _add_new(actions)
    _add_check(actions)
    _add_ids(actions)


def _add_new(actions: "argparse._SubParsersAction[Any]") -> None:
    parser = actions.add_parser(
        "new",
        help="make the folder of a new plugin, which passes all checks",
        description="Make the folder bagatelle-NAME. Exit code 0: made; 1: refused, and nothing was written.",
    )
    parser.add_argument("name", metavar="NAME", help="of the instrument, such as tin-whistle")
    parser.add_argument(
        "--into", metavar="FOLDER", type=Path, default=Path(), help="where to make it; here, if not said"
    )
    parser.set_defaults(func=_new)


def _add_check(actions: "argparse._SubParsersAction[Any]") -> None:
    checks = "; ".join(f"{name} ({what})" for name, what in CHECKS.items())
    parser = actions.add_parser(
        "check",
        help="say what is wrong with a plugin",
        description=f"Check a plugin, in processes of its own: {checks.replace('%', '%%')}. "
        "Exit code 0: right; 1: something is wrong; 2: there is nothing to check; 130: interrupted.",
    )
    parser.add_argument("plugin", metavar="PATH-OR-NAME", help=_SUBJECT_HELP)
    parser.add_argument(
        "--before",
        metavar="FILE",
        type=Path,
        action="append",
        default=[],
        help="ids that there were, which must still be there: what `bagatelle plugin ids` printed, or a wheel",
    )
    parser.set_defaults(func=_check)


def _add_ids(actions: "argparse._SubParsersAction[Any]") -> None:
    parser = actions.add_parser(
        "ids",
        help="print the ids of a plugin's instruments and exercises",
        description="Print the ids of a plugin's instruments and exercises, one a line, to keep for --before.",
    )
    parser.add_argument("plugin", metavar="PATH-OR-NAME", help=_SUBJECT_HELP)
    parser.set_defaults(func=_ids)


def _new(arguments: argparse.Namespace) -> int:
    try:
        folder = begin_plugin(arguments.name, arguments.into)
    except BeginningError as error:
        print(f"bagatelle plugin new: {error}", file=sys.stderr)
        return WRONG
    print_out(f"Made {folder}. Next: bagatelle plugin check {folder}")
    return RIGHT


def _check(arguments: argparse.Namespace) -> int:
    try:
        before = joined(read_ids(file) for file in arguments.before)
        reports = check_project(arguments.plugin, before)
    except SubjectError as error:
        print(f"bagatelle plugin check: {error}", file=sys.stderr)
        return UNREADABLE
    except KeyboardInterrupt:
        print("bagatelle plugin check: interrupted, and nothing is known of the plugin", file=sys.stderr)
        return INTERRUPTED
    print_out("\n".join(line for report in reports for line in report_lines(report)))
    return RIGHT if all(report.is_right for report in reports) else WRONG


def _ids(arguments: argparse.Namespace) -> int:
    try:
        listings = [ids_of(subject) for subject in subjects_of(arguments.plugin)]
    except SubjectError as error:
        print(f"bagatelle plugin ids: {error}", file=sys.stderr)
        return UNREADABLE
    except KeyboardInterrupt:
        print("bagatelle plugin ids: interrupted", file=sys.stderr)
        return INTERRUPTED
    if not all(listing.ids for listing in listings):
        print(
            f"bagatelle plugin ids: {arguments.plugin} can't be loaded; bagatelle plugin check says why",
            file=sys.stderr,
        )
        return WRONG
    print_out(written_listing(joined(listings).ids))
    return RIGHT
