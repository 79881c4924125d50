"""Plugins are tried before they are loaded: in a process of its own, which can be ended."""

import asyncio
import sys
from collections.abc import Callable, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import suppress
from socket import socketpair
from typing import Final, TypeAlias

import msgspec
from bagatelle import Instruments, load_instruments
from bagatelle.catalogue.faults import Fault, RefusedError
from bagatelle.catalogue.loading import EntryPoint, installed_plugins

from bagatelle_service.plugin_choice import PluginChoice
from bagatelle_service.plugin_trial import DONE
from bagatelle_service.settings import Settings

Verdict: TypeAlias = Callable[[str, str | None], None]
PROGRAM: Final = "bagatelle_service.plugin_trial"
_STARTING_SECONDS: Final = 60.0
"""A new process has so long until it begins with the first plugin."""


def _nobody_listens(name: str, reason: str | None) -> None:
    pass


class Trial:
    """Plugins are tried in a thread's event loop, while whoever began it does something else."""

    def __init__(self, settings: Settings) -> None:
        """Begin.

        :param settings: which plugins are allowed, and how long each may take to load.
        """
        self._settings = settings
        self._verdicts: dict[str, Future[str | None]] = {
            point.name: Future() for point in installed_plugins()
        }
        self._thread = ThreadPoolExecutor(1)
        self._choice = self._thread.submit(self._run)
        self._thread.shutdown(wait=False)

    def load(self) -> tuple[PluginChoice, Instruments]:
        """Load each plugin as soon as it was tried; return which may be loaded, and what was."""
        points = [_TriedPoint(point, self._verdicts[point.name]) for point in installed_plugins()]
        instruments = load_instruments(
            entry_points=points,
            allowed=self._settings.plugins_allowed,
            catalogues=PluginChoice(catalogues=self._settings.catalogues or None).files(),
        )
        return self._choice.result(), instruments

    def _run(self) -> PluginChoice:
        try:
            return asyncio.run(try_plugins(self._settings, self._say))
        except BaseException as error:
            for verdict in self._verdicts.values():
                if not verdict.done():
                    verdict.set_exception(error)
            raise

    def _say(self, name: str, reason: str | None) -> None:
        self._verdicts[name].set_result(reason)


class _TriedPoint:
    """An entry point that is loaded when it has been tried."""

    def __init__(self, point: EntryPoint, verdict: "Future[str | None]") -> None:
        self._point = point
        self._verdict = verdict
        self.name = point.name
        self.dist = point.dist

    def load(self) -> object:
        reason = self._verdict.result()
        if reason is not None:
            raise RefusedError([Fault("load", reason)])
        return self._point.load()


async def try_plugins(settings: Settings, say: Verdict = _nobody_listens) -> PluginChoice:
    """Load every plugin that is installed and allowed once, somewhere else, and say which may be loaded here.

    Catalogues without code are not tried: there is nothing in them that could hang.

    :param say: is told of each plugin, as soon as it was tried, why it may not be loaded; None where it may.
    """
    allowed, seconds = settings.plugins_allowed, settings.plugin_load_seconds
    names = sorted({point.name for point in installed_plugins()})
    waiting = [name for name in names if allowed is None or name in allowed]
    left_out: dict[str, str] = {}
    while waiting:
        stopped = await _tried(waiting, seconds, say)
        if stopped is None:
            break
        position, reason = stopped
        left_out[waiting[position]] = reason
        say(waiting[position], reason)
        waiting = waiting[position + 1 :]
    return PluginChoice(allowed=allowed, left_out=left_out, catalogues=settings.catalogues or None)


async def _tried(names: Sequence[str], seconds: float, say: Verdict) -> tuple[int, str] | None:
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
        return await _watched(reader, seconds, names, say)
    finally:
        writer.close()
        with suppress(ProcessLookupError):
            process.kill()
        await process.wait()


async def _watched(
    reader: asyncio.StreamReader, seconds: float, names: Sequence[str], say: Verdict
) -> tuple[int, str] | None:
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
        # The one before is loaded when the next begins, and the last at the end.
        if line and position is not None:
            say(names[position], None)
        if line.strip() == DONE.encode():
            return None
        position, patience = int(line), seconds


def _blamed(position: int | None, reason: str) -> tuple[int, str]:
    if position is None:
        raise PluginTrialError("the process that tries plugins did not begin; it says why on standard error")
    return position, reason


class PluginTrialError(Exception):
    """Plugins could not be tried, and none of them is to blame."""
