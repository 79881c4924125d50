"""The engine in processes of its own: plans use every core, and one that outlasts the clock is ended."""

import asyncio
import logging
import sys
from collections import defaultdict
from contextlib import suppress
from socket import socketpair
from typing import Final

import msgspec
from bagatelle.model.errors import FailureKind
from bagatelle.toml_catalogue import CatalogueText

from bagatelle_service.api.problems import EngineProblemError
from bagatelle_service.engine_calls import OutOfTimeError
from bagatelle_service.engine_process import LENGTH_BYTES, Answered, Asked, framed
from bagatelle_service.engine_questions import Question
from bagatelle_service.hook_guard import log_failure
from bagatelle_service.hook_reports import Entered, Left
from bagatelle_service.plugin_choice import PluginChoice
from bagatelle_service.plugin_watch import PluginWatch
from bagatelle_service.settings import Settings

PROGRAM: Final = "bagatelle_service.engine_process"
READ_AHEAD_BYTES: Final = 2**20


logger: Final = logging.getLogger("bagatelle_service.plugins")


class EngineLostError(Exception):
    """The process that was asked ended before it answered."""


class HookStoppedError(Exception):
    """The process that was asked is in a hook, and that does not come back."""

    def __init__(self, hook: Entered, kind: FailureKind) -> None:
        self.hook = hook
        self.kind = kind
        super().__init__(f"{hook.plugin}: {kind}")


class EngineProcesses:
    """A fixed number of processes, each asked one question at a time. For one event loop, until closed.

    :param count: how many.
    :param clock_seconds: how long a question may take, waiting for a process included.
    :param program: the module to run as a program; it answers as `engine_process` does.
    :param plugins: which plugins they load.
    :param watch: counts how these do, and says which are not to be asked.
    """

    def __init__(
        self,
        count: int,
        clock_seconds: float,
        program: str = PROGRAM,
        *,
        plugins: PluginChoice | None = None,
        watch: PluginWatch | None = None,
    ) -> None:
        self._count = count
        self.clock_seconds = clock_seconds
        self._command = (program, msgspec.json.encode(plugins or PluginChoice()).decode())
        self.watch = watch or PluginWatch()
        self._forget()

    def _forget(self) -> None:
        self._running: set[_Process] = set()
        self._idle: asyncio.Queue[_Process] = asyncio.Queue()
        self._starting = asyncio.Lock()

    async def start(self) -> None:
        """Start those that do not run, without waiting until they have loaded."""
        async with self._starting:
            while len(self._running) < self._count:
                process = await _started(*self._command)
                self._running.add(process)
                self._idle.put_nowait(process)

    async def ask(self, question: Question, body: bytes, catalogues: tuple[CatalogueText, ...] = ()) -> bytes:
        """Wait for a process and ask it.

        Where a hook of a plugin does not come back, its process is ended, and the question is asked again, of
        another one that does not ask the plugin.

        :param catalogues: those of the school that asks, beside the plugins.
        :raises OutOfTimeError: where the clock ran out. The process that was asked is ended.
        :raises EngineProblemError: where the question came to a problem.
        :raises EngineLostError: where the process ended by itself.
        """
        try:
            async with asyncio.timeout(self.clock_seconds):
                answered = await self._answered(question, body, catalogues)
        except TimeoutError:
            raise OutOfTimeError(self.clock_seconds) from None
        if answered.problem is not None:
            raise EngineProblemError(answered.problem, answered.trace)
        return answered.answer

    async def _answered(
        self, question: Question, body: bytes, catalogues: tuple[CatalogueText, ...]
    ) -> Answered:
        stopped: dict[str, FailureKind] = {}
        while True:
            process = await self._ready()
            try:
                with self.watch.turn() as turn:
                    asked = Asked(
                        question, body, stopped, turn.failures_left, turn.failures_allowed, catalogues
                    )
                    return await self._asked(process, asked)
            except HookStoppedError as error:
                # It is never asked again for this question, so this ends.
                stopped[error.hook.plugin] = error.kind

    async def _ready(self) -> "_Process":
        """Wait for one that runs and is not asked by anybody."""
        while True:
            await self.start()
            process = await self._idle.get()
            if not process.has_ended:
                return process
            await self._part_with(process)

    async def _asked(self, process: "_Process", asked: Asked) -> Answered:
        try:
            answered = await process.ask(asked, self.watch)
        except BaseException as error:
            # Out of time, given up or dead: it may hold half a question, so it is never asked again.
            await self._part_with(process)
            await self.start()
            if isinstance(error, (asyncio.IncompleteReadError, OSError)):
                raise EngineLostError("the process of the engine ended before it answered") from error
            raise
        self._idle.put_nowait(process)
        return answered

    async def _part_with(self, process: "_Process") -> None:
        self._running.discard(process)
        await process.end()

    async def close(self) -> None:
        """End them all, with what they were asked. A later question starts new ones."""
        ending = self._running
        self._forget()
        for process in ending:
            await process.end()


class _Process:
    """One process, and our end of the socket to it."""

    def __init__(
        self,
        program: asyncio.subprocess.Process,
        reader: asyncio.StreamReader,
        writer: asyncio.StreamWriter,
    ) -> None:
        self._program = program
        self._reader = reader
        self._writer = writer

    @property
    def has_ended(self) -> bool:
        """Whether it ended by itself, or by somebody else."""
        return self._program.returncode is not None or self._reader.at_eof()

    async def ask(self, asked: Asked, watch: PluginWatch) -> Answered:
        """Ask, and follow which hooks are called for the answer.

        :raises HookStoppedError: where one takes more time than is left of what its plugin may take, or ends
            the process.
        """
        self._writer.write(framed(asked))
        spent_seconds: defaultdict[str, float] = defaultdict(float)
        while True:
            message = await self._told()
            if isinstance(message, Answered):
                return message
            if isinstance(message, Entered):
                left = await self._left(message, watch, spent_seconds[message.plugin])
                spent_seconds[message.plugin] += left.milliseconds / 1000

    async def _left(self, hook: Entered, watch: PluginWatch, spent_seconds: float) -> Left:
        """Wait until a hook comes back, and count how it did."""
        kind: FailureKind
        try:
            async with asyncio.timeout(max(watch.limits.seconds - spent_seconds, 0)):
                message = await self._told()
        except TimeoutError:
            kind = "out-of-time"
        except (asyncio.IncompleteReadError, OSError):
            kind = "ended"
        else:
            left = message if isinstance(message, Left) else Left(0.0)
            watch.note(hook.plugin, left.milliseconds, left.failure)
            if left.failure is not None:
                log_failure(hook.plugin, hook.hook, hook.exercise, left.place)
            return left
        watch.note(hook.plugin, watch.limits.seconds * 1000, kind)
        log_failure(hook.plugin, hook.hook, hook.exercise, kind)
        raise HookStoppedError(hook, kind)

    async def _told(self) -> Answered | Entered | Left:
        length = int.from_bytes(await self._reader.readexactly(LENGTH_BYTES), "big")
        return msgspec.msgpack.decode(await self._reader.readexactly(length), type=Answered | Entered | Left)

    async def end(self) -> None:
        self._writer.close()
        with suppress(ProcessLookupError):
            self._program.kill()
        await self._program.wait()


async def _started(module: str, choice: str) -> _Process:
    ours, its = socketpair()
    # Whatever goes wrong from here on: our end closes, and the process, if there is one, ends with it.
    reader, writer = await asyncio.open_connection(sock=ours, limit=READ_AHEAD_BYTES)
    try:
        with its:
            program = await asyncio.create_subprocess_exec(
                sys.executable,
                "-m",
                module,
                str(its.fileno()),
                choice,
                stdin=asyncio.subprocess.DEVNULL,
                pass_fds=[its.fileno()],
            )
    except BaseException:
        writer.close()
        raise
    return _Process(program, reader, writer)


def processes_of(settings: Settings, plugins: PluginChoice | None = None) -> EngineProcesses | None:
    """Return the processes that the settings ask for, where they ask for any.

    :param plugins: those to load; None: all that are installed.
    """
    if settings.engine_processes == 0:
        return None
    return EngineProcesses(
        settings.engine_processes,
        settings.clock_seconds,
        plugins=plugins,
        watch=PluginWatch(settings.plugin_limits),
    )
