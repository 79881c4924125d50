"""Plugins are tried before they are loaded: in a process of its own, which can be ended."""

import asyncio
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from typing import Final, TypeAlias

import msgspec
from bagatelle import Instruments, load_instruments
from bagatelle.catalogue.faults import Fault, RefusedError
from bagatelle.catalogue.loading import EntryPoint, installed_plugins
from bagatelle.catalogue.plugin import ExaminedPlugin

from bagatelle_service.plugin_choice import PluginChoice
from bagatelle_service.plugin_trial import DONE, FOUND
from bagatelle_service.settings import Settings
from bagatelle_service.trial_process import TrialProcess, names_to_try

Finding: TypeAlias = str | ExaminedPlugin | None
"""Why a plugin may not be loaded; or what was found right; or nothing, where whoever loads it finds it again."""
Tell: TypeAlias = Callable[[str, Finding], None]
"""Takes the name of a plugin, and what became of it."""
_STARTING_SECONDS: Final = 60.0
"""A new process has so long until it begins with the first plugin."""


def _nobody_listens(_name: str, _finding: Finding) -> None:
    pass


class Trial:
    """Plugins are tried in a thread's event loop, while whoever began it does something else."""

    def __init__(self, settings: Settings, begun: TrialProcess | None = None) -> None:
        """Begin.

        :param settings: which plugins are allowed, and how long each may take to load.
        :param begun: a process that tries them already.
        """
        self._settings = settings
        self._begun = begun
        self._verdicts: dict[str, Future[Finding]] = {point.name: Future() for point in installed_plugins()}
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
            return asyncio.run(try_plugins(self._settings, self._say, self._begun))
        except BaseException as error:
            for verdict in self._verdicts.values():
                if not verdict.done():
                    verdict.set_exception(error)
            raise

    def _say(self, name: str, finding: Finding) -> None:
        self._verdicts[name].set_result(finding)


class _TriedPoint:
    """An entry point whose plugin is loaded as soon as it has been tried."""

    def __init__(self, point: EntryPoint, verdict: "Future[Finding]") -> None:
        self._point = point
        self._verdict = verdict
        self.name = point.name
        self.dist = point.dist

    def examined(self) -> ExaminedPlugin | None:
        """Return what the trial found right; None where it found a fault, which is then found again here.

        :raises RefusedError: where it stopped the trial.
        """
        finding = self._verdict.result()
        if isinstance(finding, str):
            raise RefusedError([Fault("load", finding)])
        return finding

    def load(self) -> object:
        """Import what it names."""
        return self._point.load()


async def try_plugins(
    settings: Settings, tell: Tell = _nobody_listens, begun: TrialProcess | None = None
) -> PluginChoice:
    """Load every plugin that is installed and allowed once, somewhere else, and say which may be loaded here.

    Catalogues without code are not tried: there is nothing in them that could hang.

    :param tell: is told of each plugin, as soon as it was tried.
    :param begun: a process that tries them already.
    """
    allowed, seconds = settings.plugins_allowed, settings.plugin_load_seconds
    waiting = begun.names if begun is not None else names_to_try(allowed)
    left_out: dict[str, str] = {}
    while waiting:
        process, begun = begun or TrialProcess(waiting), None
        stopped = await _tried(process, seconds, tell)
        if stopped is None:
            break
        position, reason = stopped
        left_out[waiting[position]] = reason
        tell(waiting[position], reason)
        waiting = waiting[position + 1 :]
    return PluginChoice(allowed=allowed, left_out=left_out, catalogues=settings.catalogues or None)


async def _tried(process: TrialProcess, seconds: float, tell: Tell) -> tuple[int, str] | None:
    """Follow a process to its end; return the position of the first plugin that stopped it, and how."""
    reader, writer = await asyncio.open_connection(sock=process.socket)
    try:
        return await _watched(reader, process, seconds, tell)
    finally:
        process.end()
        writer.close()


async def _watched(
    reader: asyncio.StreamReader, process: TrialProcess, seconds: float, tell: Tell
) -> tuple[int, str] | None:
    position, patience = None, _STARTING_SECONDS
    found: list[ExaminedPlugin] = []
    while True:
        try:
            async with asyncio.timeout(patience):
                line = (await reader.readline()).decode().strip()
        except TimeoutError:
            return _blamed(position, f"it did not load within {seconds:g} seconds")
        except OSError:
            line = ""
        if not line:
            return _blamed(position, "it ended the process that loaded it")
        if line.startswith(FOUND):
            said = process.read(int(line.removeprefix(FOUND)))
            found.append(msgspec.json.decode(said, type=ExaminedPlugin))
            continue
        # The one before has been tried when the next begins, and the last at the end.
        if position is not None:
            tell(process.names[position], found[0] if len(found) == 1 else None)
        if line == DONE:
            return None
        position, patience, found = int(line), seconds, []


def _blamed(position: int | None, reason: str) -> tuple[int, str]:
    if position is None:
        raise PluginTrialError("the process that tries plugins did not begin; it says why on standard error")
    return position, reason


class PluginTrialError(Exception):
    """Plugins could not be tried, and none of them is to blame."""
