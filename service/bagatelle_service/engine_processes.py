"""The engine in processes of its own: plans use every core, and one that outlasts the clock is ended."""

import asyncio
import sys
from contextlib import suppress
from socket import socketpair
from typing import Final

import msgspec

from bagatelle_service.api.problems import EngineProblemError
from bagatelle_service.engine_calls import OutOfTimeError
from bagatelle_service.engine_process import LENGTH_BYTES, Answered, Asked, framed
from bagatelle_service.engine_questions import Question

PROGRAM: Final = "bagatelle_service.engine_process"
READ_AHEAD_BYTES: Final = 2**20


class EngineLostError(Exception):
    """The process that was asked ended before it answered."""


class EngineProcesses:
    """A fixed number of processes, each asked one question at a time. For one event loop, until closed.

    :param count: how many.
    :param clock_seconds: how long a question may take, waiting for a process included.
    :param program: the module to run as a program; it answers as `engine_process` does.
    """

    def __init__(self, count: int, clock_seconds: float, program: str = PROGRAM) -> None:
        self._count = count
        self.clock_seconds = clock_seconds
        self._program = program
        self._running: set[_Process] = set()
        self._idle: asyncio.Queue[_Process] = asyncio.Queue()

    async def start(self) -> None:
        """Start those that do not run, without waiting until they have loaded."""
        while len(self._running) < self._count:
            process = _Process()
            self._running.add(process)
            await process.begin(self._program)
            self._idle.put_nowait(process)

    async def ask(self, question: Question, body: bytes) -> bytes:
        """Wait for a process and ask it.

        :raises OutOfTimeError: where the clock ran out. The process that was asked is ended.
        :raises EngineProblemError: where the question came to a problem.
        :raises EngineLostError: where the process ended by itself.
        """
        try:
            async with asyncio.timeout(self.clock_seconds):
                await self.start()
                answered = await self._asked(await self._idle.get(), Asked(question, body))
        except TimeoutError:
            raise OutOfTimeError(self.clock_seconds) from None
        if answered.problem is not None:
            raise EngineProblemError(answered.problem, answered.trace)
        return answered.answer

    async def _asked(self, process: "_Process", asked: Asked) -> Answered:
        try:
            answered = await process.ask(asked)
        except BaseException as error:
            # Out of time, given up or dead: it may hold half a question, so it is never asked again.
            self._running.discard(process)
            await process.end()
            await self.start()
            if isinstance(error, (asyncio.IncompleteReadError, OSError)):
                raise EngineLostError("the process of the engine ended before it answered") from error
            raise
        self._idle.put_nowait(process)
        return answered

    async def close(self) -> None:
        """End them all, with what they were asked. A later question starts new ones."""
        ending, self._running = self._running, set()
        self._idle = asyncio.Queue()
        for process in ending:
            await process.end()


class _Process:
    """One process, and our end of the socket to it."""

    async def begin(self, program: str) -> None:
        ours, its = socketpair()
        with its:
            self._program = await asyncio.create_subprocess_exec(
                sys.executable,
                "-m",
                program,
                str(its.fileno()),
                stdin=asyncio.subprocess.DEVNULL,
                pass_fds=[its.fileno()],
            )
        self._reader, self._writer = await asyncio.open_connection(sock=ours, limit=READ_AHEAD_BYTES)

    async def ask(self, asked: Asked) -> Answered:
        self._writer.write(framed(asked))
        length = int.from_bytes(await self._reader.readexactly(LENGTH_BYTES), "big")
        return msgspec.msgpack.decode(await self._reader.readexactly(length), type=Answered)

    async def end(self) -> None:
        self._writer.close()
        with suppress(ProcessLookupError):
            self._program.kill()
        await self._program.wait()
