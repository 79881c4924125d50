"""Calls of the engine: a bounded number at once, off the event loop, each on a clock."""

import asyncio
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from typing import TypeVar

Answer = TypeVar("Answer")


class OutOfTimeError(Exception):
    """The safety-net clock ran out before an answer was there."""

    def __init__(self, clock_seconds: float) -> None:
        self.clock_seconds = clock_seconds
        super().__init__(f"No answer within {clock_seconds:g} seconds.")


class EngineCalls:
    """A fixed number of threads for the engine.

    A thread cannot be stopped from outside: one that outlasts its clock keeps its place until the engine's
    count of search steps ends it. That is why the threads are our own pool, where the bound still holds then,
    and not the event loop's.
    """

    def __init__(self, threads: int, clock_seconds: float) -> None:
        self._threads = threads
        self._clock_seconds = clock_seconds
        self._pool: ThreadPoolExecutor | None = None

    async def run(self, call: Callable[[], Answer]) -> Answer:
        """Run the call in one of the threads; waiting for a free thread counts on the clock.

        :raises OutOfTimeError: where the clock ran out. A call that had not begun then never begins.
        """
        if self._pool is None:
            self._pool = ThreadPoolExecutor(self._threads, thread_name_prefix="bagatelle-engine")
        waiting = asyncio.get_running_loop().run_in_executor(self._pool, call)
        try:
            async with asyncio.timeout(self._clock_seconds):
                return await waiting
        except TimeoutError:
            if not waiting.cancelled():
                raise  # the call's own TimeoutError, not the clock's
            raise OutOfTimeError(self._clock_seconds) from None

    def close(self) -> None:
        """Give up the threads and the calls that wait for one. A later call would get new threads."""
        if self._pool is not None:
            self._pool.shutdown(wait=False, cancel_futures=True)
            self._pool = None
