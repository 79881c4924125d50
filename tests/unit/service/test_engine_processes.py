"""The engine in processes of its own: each answers one question at a time, on a clock that ends it."""

import asyncio
import os
import signal
import subprocess
import sys
import time
from collections.abc import AsyncIterator, Awaitable, Callable
from contextlib import asynccontextmanager
from typing import Any

import bagatelle
import msgspec
import pytest
from bagatelle import load_instruments
from bagatelle_service.api.errors import problem_of
from bagatelle_service.api.operation import example_bytes
from bagatelle_service.api.problems import INSTANCE_PREFIX, EngineProblemError
from bagatelle_service.engine_calls import OutOfTimeError
from bagatelle_service.engine_processes import EngineLostError, EngineProcesses

STUB = "tests.unit.service.engine_stub"


@asynccontextmanager
async def stubs(count: int, clock_seconds: float = 20) -> AsyncIterator[EngineProcesses]:
    processes = EngineProcesses(count, clock_seconds, STUB)
    try:
        yield processes
    finally:
        await processes.close()


def run(test: Callable[[], Awaitable[None]]) -> None:
    async def bounded() -> None:
        async with asyncio.timeout(60):
            await test()

    asyncio.run(bounded())


async def asked(processes: EngineProcesses, body: bytes) -> bytes:
    return await processes.ask("compress", body)


async def process_id(processes: EngineProcesses) -> int:
    return int((await asked(processes, b"")).split()[1])


def test_it_answers_as_the_engine_does() -> None:
    body = example_bytes("compression-request-piano")

    async def test() -> None:
        processes = EngineProcesses(1, 20)
        answer = await processes.ask("compress", body)
        assert answer == msgspec.json.encode(
            bagatelle.compress(bagatelle.decode_request(body), load_instruments())
        )
        with pytest.raises(EngineProblemError) as raised:
            await processes.ask("forecast", b"{}")
        problem = problem_of(raised.value, "request-7")
        assert (problem.status, problem.instance) == (422, INSTANCE_PREFIX + "request-7")
        await processes.close()

    run(test)


def test_a_refusal_comes_through_without_a_trace() -> None:
    async def test() -> None:
        async with stubs(1) as processes:
            with pytest.raises(EngineProblemError) as raised:
                await asked(processes, b"refuse")
            assert raised.value.problem.type == "urn:bagatelle:problem:nothing-allowed"
            assert str(raised.value) == ""

    run(test)


def test_a_fault_comes_through_with_its_trace_for_the_log_alone() -> None:
    async def test() -> None:
        async with stubs(1) as processes:
            with pytest.raises(EngineProblemError, match="ZeroDivisionError: by design") as raised:
                await asked(processes, b"break")
            problem = problem_of(raised.value, "r")
            assert problem.status == 500
            assert b"design" not in msgspec.json.encode(problem)

    run(test)


def test_large_bodies_and_answers_come_whole() -> None:
    async def test() -> None:
        async with stubs(1) as processes:
            assert len(await asked(processes, b"large")) == 3_000_000
            assert (await asked(processes, b"x " * 500_000)).startswith(b"compress ")

    run(test)


def test_so_many_are_asked_at_once_and_the_others_wait() -> None:
    async def test() -> None:
        async with stubs(2) as processes:
            await asyncio.gather(asked(processes, b""), asked(processes, b""))
            began = time.monotonic()
            answers = await asyncio.gather(*(asked(processes, b"sleep 0.3") for _ in range(4)))
            assert len(set(answers)) == 2
            assert time.monotonic() - began >= 0.6

    run(test)


def test_one_that_outlasts_the_clock_is_ended_and_another_takes_its_place() -> None:
    async def test() -> None:
        async with stubs(1) as processes:
            first = await process_id(processes)
            processes.clock_seconds = 0.2
            with pytest.raises(OutOfTimeError):
                await asked(processes, b"sleep 30")
            with pytest.raises(ProcessLookupError):
                os.kill(first, 0)
            processes.clock_seconds = 20
            assert await process_id(processes) != first

    run(test)


def test_one_that_dies_is_said_and_replaced() -> None:
    async def test() -> None:
        async with stubs(1) as processes:
            with pytest.raises(EngineLostError):
                await asked(processes, b"die")
            assert await process_id(processes) > 0

    run(test)


def test_one_that_was_ended_while_idle_is_never_asked() -> None:
    async def test() -> None:
        async with stubs(1) as processes:
            first = await process_id(processes)
            os.kill(first, signal.SIGKILL)
            await asyncio.sleep(0.2)
            assert await process_id(processes) != first

    run(test)


def test_a_start_that_was_given_up_takes_no_place(monkeypatch: pytest.MonkeyPatch) -> None:
    begin = asyncio.create_subprocess_exec

    async def slowly(*arguments: Any, **options: Any) -> asyncio.subprocess.Process:
        await asyncio.sleep(0.3)
        return await begin(*arguments, **options)

    async def test() -> None:
        async with stubs(1, clock_seconds=0.1) as processes:
            with monkeypatch.context() as patched:
                patched.setattr(asyncio, "create_subprocess_exec", slowly)
                with pytest.raises(OutOfTimeError):
                    await asked(processes, b"")
            processes.clock_seconds = 20
            assert await process_id(processes) > 0

    run(test)


def test_waiting_counts_on_the_clock_and_takes_nothing_from_the_one_that_is_asked() -> None:
    async def test() -> None:
        async with stubs(1) as processes:
            await process_id(processes)
            first = asyncio.create_task(asked(processes, b"sleep 2"))
            await asyncio.sleep(0.01)
            processes.clock_seconds = 0.3
            with pytest.raises(OutOfTimeError):
                await asked(processes, b"")
            assert (await first).startswith(b"compress ")

    run(test)


def test_closed_processes_can_be_used_again_and_none_is_left() -> None:
    async def test() -> None:
        async with stubs(1) as processes:
            first = await process_id(processes)
            await processes.close()
            await processes.close()
            with pytest.raises(ProcessLookupError):
                os.kill(first, 0)
            assert await process_id(processes) != first

    run(test)


def test_it_ends_where_the_service_was_killed() -> None:
    program = (
        "import asyncio, os, signal\n"
        "from bagatelle_service.engine_processes import EngineProcesses\n"
        "async def main():\n"
        f"    print((await EngineProcesses(1, 20, {STUB!r}).ask('compress', b'')).decode(), flush=True)\n"
        "    os.kill(os.getpid(), signal.SIGKILL)\n"
        "asyncio.run(main())\n"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=False)
    child = int(done.stdout.split()[1])
    for _ in range(100):
        try:
            os.kill(child, 0)
        except ProcessLookupError:
            return
        time.sleep(0.05)
    pytest.fail("it is still there after five seconds")
