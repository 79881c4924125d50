"""`bagatelle serve`: run the API."""

import argparse
import sys
from typing import Any

from msgspec.structs import replace


def add_to(subparsers: "argparse._SubParsersAction[Any]") -> None:
    """Add the subcommand."""
    parser = subparsers.add_parser(
        "serve",
        help="run the API",
        description="Run the API. An absent SQLite file is created and migrated; any other database must have "
        "been migrated by `bagatelle migrate`. Settings come from the environment: BAGATELLE_DATABASE_URL and "
        "the others in the service's README.",
    )
    parser.add_argument("--host", default="127.0.0.1", help="address to listen on (default: %(default)s)")
    parser.add_argument("--port", type=_port, default=8000, help="port to listen on (default: %(default)s)")
    parser.add_argument(
        "--workers", type=_workers, default=1, help="processes that serve (default: %(default)s)"
    )
    parser.add_argument(
        "--open",
        action="store_true",
        help="let everybody who reaches it use the stateless operations without a token",
    )
    parser.set_defaults(func=_serve)


def _port(text: str) -> int:
    if text.isascii() and text.isdecimal() and 1 <= int(text) <= 65535:
        return int(text)
    raise argparse.ArgumentTypeError(f"{text!r} is not a port; accepted: 1 to 65535")


def _workers(text: str) -> int:
    if text.isascii() and text.isdecimal() and 1 <= int(text) <= 64:
        return int(text)
    raise argparse.ArgumentTypeError(f"{text!r} is no number of processes; accepted: 1 to 64")


def _serve(arguments: argparse.Namespace) -> int:
    # Imported when it runs: the other subcommands need not wait for a web server to load.
    from bagatelle_service.trial_process import begin_by_environment

    begun = begin_by_environment()

    from bagatelle_service.serving import CannotServeError, load_plugins, prepare_to_serve, serve

    try:
        settings = prepare_to_serve(arguments.host, arguments.port)
    except CannotServeError as error:
        begun.give_up()
        print(f"bagatelle serve: {error}", file=sys.stderr)
        return 1
    load_plugins(settings, begun)
    host = f"[{arguments.host}]" if ":" in arguments.host else arguments.host
    print(f"Docs: http://{host}:{arguments.port}/docs", flush=True)
    is_open = settings.open or arguments.open
    serve(replace(settings, open=is_open), arguments.host, arguments.port, arguments.workers)
    return 0
