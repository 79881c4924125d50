"""Plugins are tried before they are loaded: in a process of its own, which can be ended."""

import asyncio
import sys
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from socket import socketpair
from typing import Final

import msgspec
from bagatelle.catalogue.loading import installed_plugins

from bagatelle_service.plugin_choice import PluginChoice
from bagatelle_service.plugin_trial import DONE
from bagatelle_service.settings import Settings

PROGRAM: Final = "bagatelle_service.plugin_trial"
_STARTING_SECONDS: Final = 60.0
"""A new process has so long until it begins with the first plugin."""


def tried_plugins(settings: Settings) -> PluginChoice:
    """As `try_plugins`, for whoever cannot wait for it in an event loop."""
    with ThreadPoolExecutor(1) as thread:
        return thread.submit(lambda: asyncio.run(try_plugins(settings))).result()


async def try_plugins(settings: Settings) -> PluginChoice:
    """Load every plugin that is installed and allowed once, somewhere else, and say which may be loaded here.

    Catalogues without code are not tried: there is nothing in them that could hang.
    """
    allowed, seconds = settings.plugins_allowed, settings.plugin_load_seconds
    names = sorted({point.name for point in installed_plugins()})
    waiting = [name for name in names if allowed is None or name in allowed]
    left_out: dict[str, str] = {}
    while waiting:
        stopped = await _tried(waiting, seconds)
        if stopped is None:
            break
        position, reason = stopped
        left_out[waiting[position]] = reason
        waiting = waiting[position + 1 :]
    return PluginChoice(allowed=allowed, left_out=left_out, catalogues=settings.catalogues or None)


async def _tried(names: Sequence[str], seconds: float) -> tuple[int, str] | None:
    """Load these in a new process; return the position of the first that stopped it, and how."""
    ours, its = socketpair()
    reader, writer = await asyncio.open_connection(sock=ours)
    try:
        with its:
            process = await asyncio.create_subprocess_exec(
                sys.executable,
                "-m",
                PROGRAM,
                str(its.fileno()),
                msgspec.json.encode(names).decode(),
                stdin=asyncio.subprocess.DEVNULL,
                stdout=asyncio.subprocess.DEVNULL,
                pass_fds=[its.fileno()],
            )
    except BaseException:
        writer.close()
        raise
    try:
        return await _watched(reader, seconds)
    finally:
        writer.close()
        with suppress(ProcessLookupError):
            process.kill()
        await process.wait()


async def _watched(reader: asyncio.StreamReader, seconds: float) -> tuple[int, str] | None:
    position, patience = None, _STARTING_SECONDS
    while True:
        try:
            async with asyncio.timeout(patience):
                line = await reader.readline()
        except TimeoutError:
            return _blamed(position, f"it did not load within {seconds:g} seconds")
        except OSError:
            line = b""
        if not line:
            return _blamed(position, "it ended the process that loaded it")
        if line.strip() == DONE.encode():
            return None
        position, patience = int(line), seconds


def _blamed(position: int | None, reason: str) -> tuple[int, str]:
    if position is None:
        raise PluginTrialError("the process that tries plugins did not begin; it says why on standard error")
    return position, reason


class PluginTrialError(Exception):
    """Plugins could not be tried, and none of them is to blame."""
