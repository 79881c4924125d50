"""Calls of the engine: bounded, and on a clock."""

import asyncio
import threading
import time

import pytest
from bagatelle_service.engine_calls import EngineCalls, OutOfTimeError


def test_an_answer_and_an_error_come_through() -> None:
    async def run() -> None:
        calls = EngineCalls(threads=1, clock_seconds=5)
        assert await calls.run(lambda: 7) == 7
        with pytest.raises(ZeroDivisionError):
            await calls.run(lambda: 1 // 0)
        calls.close()

    asyncio.run(run())


def test_a_call_that_outlasts_its_clock_keeps_its_thread() -> None:
    release, begun = threading.Event(), []

    def slow() -> None:
        begun.append(1)
        release.wait(5)

    async def run() -> None:
        calls = EngineCalls(threads=1, clock_seconds=0.1)
        with pytest.raises(OutOfTimeError):
            await calls.run(slow)
        # The thread is still taken: the next call waits on its own clock and never begins.
        with pytest.raises(OutOfTimeError):
            await calls.run(slow)
        assert len(begun) == 1
        release.set()
        await asyncio.sleep(0.05)
        assert await calls.run(lambda: "free again") == "free again"
        assert len(begun) == 1
        calls.close()

    asyncio.run(run())


def test_a_timeout_of_the_calls_own_is_no_clock() -> None:
    def fail() -> None:
        raise TimeoutError("mine")

    async def run() -> None:
        calls = EngineCalls(threads=1, clock_seconds=5)
        with pytest.raises(TimeoutError, match="mine"):
            await calls.run(fail)
        calls.close()

    asyncio.run(run())


def test_the_event_loop_goes_on_meanwhile() -> None:
    async def run() -> float:
        calls = EngineCalls(threads=1, clock_seconds=5)
        waiting = asyncio.create_task(calls.run(lambda: time.sleep(0.3)))
        began = time.monotonic()
        for _ in range(10):
            await asyncio.sleep(0.001)
        taken = time.monotonic() - began
        await waiting
        calls.close()
        return taken

    assert asyncio.run(run()) < 0.25


def test_closed_calls_can_be_used_again() -> None:
    # A service may be started twice in one process: its life ends and begins anew.
    async def run() -> None:
        calls = EngineCalls(threads=1, clock_seconds=5)
        assert await calls.run(lambda: 1) == 1
        calls.close()
        calls.close()
        assert await calls.run(lambda: 2) == 2
        calls.close()

    asyncio.run(run())
