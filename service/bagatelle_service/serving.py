"""Prepare the database, then serve until stopped: what `bagatelle serve` does."""

import asyncio
import logging.config
import os
import socket

from granian.constants import Interfaces, Loops
from granian.server import Server
from sqlalchemy.exc import SQLAlchemyError

from bagatelle_service import asgi
from bagatelle_service.database.connection import connect, database_url, in_one_line
from bagatelle_service.database.migrating import NotMigratedError, prepare
from bagatelle_service.database.roles import UnsafeRoleError, refuse_role_that_bypasses
from bagatelle_service.logs import log_configuration
from bagatelle_service.memory import keep_what_is_loaded, load_without_searches
from bagatelle_service.plugin_loading import Trial
from bagatelle_service.settings import Settings, SettingsError, settings_from_environment
from bagatelle_service.signing import signing_key_of
from bagatelle_service.trial_process import TrialProcess


class CannotServeError(Exception):
    """The service cannot start. Says why, and what would help."""


def prepare_to_serve(host: str, port: int) -> Settings:
    """Read the settings, make the database fit, and see that the address is free.

    :raises CannotServeError: where one of these fails.
    """
    try:
        settings = settings_from_environment()
        signing_key_of(settings)
        asyncio.run(_prepare(settings))
    except (SettingsError, NotMigratedError, UnsafeRoleError, FileNotFoundError) as error:
        raise CannotServeError(str(error)) from error
    _check_address(host, port)
    return settings


def load_plugins(settings: Settings, begun: TrialProcess) -> None:
    """Load what is found right by a process that tries plugins, for the workers, which inherit it.

    :param begun: begun before this process imported what it needs itself, which takes as long.
    """
    logging.config.dictConfig(log_configuration(settings.log_format))
    load_without_searches()
    asgi.hand_down(Trial(settings, begun).load())
    keep_what_is_loaded()


def serve(settings: Settings, host: str, port: int, workers: int) -> None:
    """Serve until stopped."""
    if settings.open:
        # The workers are processes of their own and read the environment.
        os.environ["BAGATELLE_OPEN"] = "true"
    os.environ.setdefault("BAGATELLE_ENGINE_PROCESSES", str(max(settings.engine_processes // workers, 1)))
    Server(
        "bagatelle_service.asgi:create",
        factory=True,
        address=host,
        port=port,
        workers=workers,
        interface=Interfaces.ASGI,
        loop=Loops.asyncio,
        websockets=False,
        log_dictconfig=log_configuration(settings.log_format),
        respawn_failed_workers=workers > 1,
        workers_kill_timeout=int(settings.clock_seconds) + 1,
    ).serve()


async def _prepare(settings: Settings) -> None:
    engine = connect(database_url(settings.database_url))
    try:
        await prepare(engine)
        await refuse_role_that_bypasses(engine)
    except (SQLAlchemyError, OSError) as error:
        raise CannotServeError(f"the database is out of reach: {in_one_line(error)}") from error
    finally:
        await engine.dispose()


def _check_address(host: str, port: int) -> None:
    # The server's own sockets share a port with whoever has it already, and half of the requests would go there.
    family, kind, protocol, _, address = _resolve(host, port)
    with socket.socket(family, kind, protocol) as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind(address)
            probe.listen()
        except OSError as error:
            raise CannotServeError(f"cannot listen on {host} port {port}: {error.strerror}") from error


def _resolve(
    host: str, port: int
) -> tuple[socket.AddressFamily, socket.SocketKind, int, str, tuple[object, ...]]:
    try:
        return socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)[0]
    except OSError as error:
        raise CannotServeError(f"no address is known for the host {host!r}: {error.strerror}") from error
