"""A plugin that fails again and again is not asked for a while, and is tried again: in processes and in threads."""

import asyncio
import os
import time
from collections.abc import Callable, Mapping
from datetime import UTC, datetime, timedelta
from pathlib import Path
from threading import Event
from typing import Any

import msgspec
import pytest
from bagatelle import load_instruments
from bagatelle_service.api.problems import EngineProblemError
from bagatelle_service.engine_processes import EngineProcesses
from bagatelle_service.plugin_choice import PluginChoice
from bagatelle_service.plugin_watch import PluginLimits, PluginWatch
from bagatelle_service.settings import Settings

from tests.broken_plugins import install, paths_with
from tests.integration.api_client import api_client
from tests.integration.problem_checks import problem_in
from tests.unit.catalogue.sample_plugins import SamplePlugin, hum, point
from tests.unit.engine.numbers import own_task, request

COMPRESSIONS = "/v1/compressions"


def failures(answer: Any) -> list[str]:
    return [problem["failure"] for problem in answer["plan"].get("plugin_problems", ())]


def asking(exercise: str, bpm: int = 72) -> dict[str, Any]:
    failing = {"id": "buzz", "exercise": exercise, "settings": {"bpm": bpm}, "minutes": 10}
    return request(failing, own_task("waltz", 60, 90))


def test_a_process_tries_again_after_its_time(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    name = "mended-meanwhile"
    install(tmp_path, [name])
    monkeypatch.setenv("PYTHONPATH", paths_with(tmp_path, os.environ.get("PYTHONPATH", "")))
    monkeypatch.setenv("MENDED", str(tmp_path / "mended"))
    now = [datetime(2027, 3, 1, tzinfo=UTC)]
    watch = PluginWatch(PluginLimits(failures=2, quarantine_seconds=60, seconds=10), lambda: now[0])
    body = msgspec.json.encode(asking(f"{name}.hum"))

    async def test() -> None:
        processes = EngineProcesses(1, 60, plugins=PluginChoice(allowed=(name,)), watch=watch)

        async def found() -> list[str]:
            return failures(msgspec.json.decode(await processes.ask("compress", body)))

        try:
            assert [await found() for _ in range(3)] == [["raised"], ["raised"], ["quarantined"]]
            now[0] += timedelta(seconds=60)
            assert [await found() for _ in range(2)] == [["raised"], ["quarantined"]]
            (tmp_path / "mended").touch()
            assert await found() == ["quarantined"]
            now[0] += timedelta(seconds=60)
            assert [await found() for _ in range(2)] == [[], []]
        finally:
            await processes.close()

    asyncio.run(test())
    assert (watch.at_work(name).calls, watch.at_work(name).failures) == (4, 3)


def test_many_failures_of_one_plan_end_at_the_number_that_is_allowed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    name = "raises-when-asked"
    install(tmp_path, [name])
    monkeypatch.setenv("PYTHONPATH", paths_with(tmp_path, os.environ.get("PYTHONPATH", "")))
    watch = PluginWatch(PluginLimits(failures=2))
    tasks = [
        {"id": f"t{number}", "exercise": f"{name}.hum", "settings": {"bpm": 72}, "minutes": 2}
        for number in range(5)
    ]
    body = msgspec.json.encode(request(*tasks, own_task("waltz", 60, 90)))

    async def test() -> list[str]:
        processes = EngineProcesses(1, 60, plugins=PluginChoice(allowed=(name,)), watch=watch)
        try:
            return failures(msgspec.json.decode(await processes.ask("compress", body)))
        finally:
            await processes.close()

    assert asyncio.run(test()) == ["raised", "raised", *["quarantined"] * 3]
    assert watch.at_work(name).calls == 2


def test_a_problem_comes_without_what_the_plugin_said(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    name = "raises-when-asked"
    install(tmp_path, [name])
    monkeypatch.setenv("PYTHONPATH", paths_with(tmp_path, os.environ.get("PYTHONPATH", "")))
    body = msgspec.json.encode(request(asking(f"{name}.hum")["routine"]["blocks"][0]["tasks"][0]))

    async def test() -> None:
        processes = EngineProcesses(1, 60, plugins=PluginChoice(allowed=(name,)))
        try:
            with pytest.raises(EngineProblemError) as raised:
                await processes.ask("compress", body)
        finally:
            await processes.close()
        assert raised.value.problem.plugin == name
        assert "no reed" not in str(raised.value) + raised.value.problem.detail

    asyncio.run(test())


def kazoo(fail: Callable[[], None]) -> SamplePlugin:
    def material(settings: Mapping[str, Any]) -> Any:
        if settings["bpm"] == 72:
            fail()
        return hum(settings)

    return SamplePlugin(material=material)


def wait_for(released: Event) -> None:
    released.wait(60)


def raise_words() -> None:
    raise RuntimeError("a learner's words")


def interrupt() -> None:
    raise KeyboardInterrupt


def test_a_plugin_that_interrupts_in_a_thread_ends_nobody() -> None:
    instruments = load_instruments(entry_points=[point(kazoo(interrupt))])
    with api_client(Settings(open=True, database_url="sqlite://"), instruments=instruments) as api:
        assert failures(api.post(COMPRESSIONS, json=asking("kazoo.hum")).json()) == ["raised"]
        assert api.get("/health/live").status_code == 200


def test_threads_count_and_spare_it_too(caplog: pytest.LogCaptureFixture) -> None:
    instruments = load_instruments(entry_points=[point(kazoo(raise_words))])
    settings = Settings(open=True, database_url="sqlite://", plugin_failures=2)
    with api_client(settings, instruments=instruments) as api:
        found = [failures(api.post(COMPRESSIONS, json=asking("kazoo.hum")).json()) for _ in range(3)]
        assert found == [["raised"], ["raised"], ["quarantined"]]
        assert failures(api.post(COMPRESSIONS, json=asking("kazoo.hum", 73)).json()) == ["quarantined"]
        (plugin,) = api.get("/v1/plugins").json()["plugins"]
        assert plugin["at_work"]["status"] == "quarantined"
        assert plugin["at_work"]["calls"] == 2
    assert "plugin 'kazoo' failed in bagatelle_material for kazoo.hum: RuntimeError" in caplog.text
    assert "a learner's words" not in caplog.text


def test_a_thread_that_hangs_is_lost_and_its_plugin_named() -> None:
    """No thread can be ended: its request gets no plan, and those after it do without the plugin."""
    released = Event()
    instruments = load_instruments(entry_points=[point(kazoo(lambda: wait_for(released)))])
    settings = Settings(open=True, database_url="sqlite://", clock_seconds=1, plugin_seconds=0.2)
    with api_client(settings, instruments=instruments) as api:
        try:
            problem = problem_in(api.post(COMPRESSIONS, json=asking("kazoo.hum")), "plugin-failed")
            assert problem["plugin"] == "kazoo"
            began = time.monotonic()
            answer = api.post(COMPRESSIONS, json=asking("kazoo.hum")).json()
            assert failures(answer) == ["quarantined"]
            assert time.monotonic() - began < 1
            (plugin,) = api.get("/v1/plugins").json()["plugins"]
            assert plugin["at_work"]["last_failure"] == "out-of-time"
        finally:
            released.set()
