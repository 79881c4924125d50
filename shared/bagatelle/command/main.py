"""The `bagatelle` command: one parser, subcommands by entry point."""

import argparse
import sys
from collections.abc import Sequence
from importlib.metadata import entry_points
from typing import Final

from bagatelle.command import plan, plugin, verify
from bagatelle.engine.version import ENGINE_VERSION

ENTRY_POINT_GROUP: Final = "bagatelle.commands"
"""Each names a function that is given the subparsers, adds a subcommand and sets its `func` default."""


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one subcommand; its exit code."""
    parsed = build_parser().parse_args(arguments)
    code: int = parsed.func(parsed)
    return code


def build_parser() -> argparse.ArgumentParser:
    """The parser with every subcommand that is installed."""
    parser = argparse.ArgumentParser(
        prog="bagatelle", description="Make a short-day plan of a musician's normal practice routine."
    )
    parser.add_argument("--version", action="version", version=f"bagatelle {ENGINE_VERSION}")
    subparsers = parser.add_subparsers(title="commands", required=True, metavar="COMMAND")
    plan.add_to(subparsers)
    verify.add_to(subparsers)
    plugin.add_to(subparsers)
    for entry_point in sorted(entry_points(group=ENTRY_POINT_GROUP), key=lambda entry: entry.name):
        entry_point.load()(subparsers)
    return parser


if __name__ == "__main__":
    sys.exit(main())
