"""`bagatelle serve`: run the API."""

import argparse
import asyncio
import os
import sys
from typing import Any

from granian.constants import Interfaces, Loops
from granian.server import Server
from sqlalchemy.exc import SQLAlchemyError

from bagatelle_service.database.connection import connect, database_url
from bagatelle_service.database.migrating import NotMigratedError, prepare
from bagatelle_service.logs import log_configuration
from bagatelle_service.settings import Settings, SettingsError, settings_from_environment

CANNOT_START = 1


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
    parser.set_defaults(func=serve)


def _port(text: str) -> int:
    if text.isascii() and text.isdecimal() and 1 <= int(text) <= 65535:
        return int(text)
    raise argparse.ArgumentTypeError(f"{text!r} is not a port; accepted: 1 to 65535")


def _workers(text: str) -> int:
    if text.isascii() and text.isdecimal() and 1 <= int(text) <= 64:
        return int(text)
    raise argparse.ArgumentTypeError(f"{text!r} is no number of processes; accepted: 1 to 64")


def serve(arguments: argparse.Namespace) -> int:
    """Prepare the database, then serve until stopped."""
    try:
        settings = settings_from_environment()
        asyncio.run(_prepare(settings))
    except (SettingsError, NotMigratedError, FileNotFoundError) as error:
        print(f"bagatelle serve: {error}", file=sys.stderr)
        return CANNOT_START
    except (SQLAlchemyError, OSError) as error:
        print(f"bagatelle serve: the database is out of reach: {_short(error)}", file=sys.stderr)
        return CANNOT_START
    if arguments.open:
        # The workers are processes of their own and read the environment.
        os.environ["BAGATELLE_OPEN"] = "true"
    print(f"Docs: http://{_shown(arguments.host)}:{arguments.port}/docs", flush=True)
    _run(arguments, settings)
    return 0


async def _prepare(settings: Settings) -> None:
    engine = connect(database_url(settings.database_url))
    try:
        await prepare(engine)
    finally:
        await engine.dispose()


def _run(arguments: argparse.Namespace, settings: Settings) -> None:
    Server(
        "bagatelle_service.asgi:create",
        factory=True,
        address=arguments.host,
        port=arguments.port,
        workers=arguments.workers,
        interface=Interfaces.ASGI,
        loop=Loops.asyncio,
        websockets=False,
        log_dictconfig=log_configuration(settings.log_format),
        respawn_failed_workers=arguments.workers > 1,
        workers_kill_timeout=int(settings.clock_seconds) + 1,
    ).serve()


def _short(error: Exception) -> str:
    # SQLAlchemy's text goes on with the statement and a link.
    cause = getattr(error, "orig", None) or error
    return str(cause).splitlines()[0] if str(cause) else type(cause).__name__


def _shown(host: str) -> str:
    return f"[{host}]" if ":" in host else host
