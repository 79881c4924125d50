"""A service with every broken plugin at once, in processes as it is served: it is up, and serves what it can."""

import os
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import httpx
import pytest

from tests.broken_plugins import BROKEN, FAILING, STOPPING, install, paths_with
from tests.integration.serving import served

SCALE = {"id": "scale", "exercise": "piano.major-scale", "settings": {"keys": ["D"]}, "minutes": 20}
LEARNERS_WORDS = "Farewell to Nobody"


def request_of(*plugins: str, bpm: int = 72) -> dict[str, Any]:
    """A routine with a task of each of these, and a scale."""
    tasks = [
        {
            "id": plugin,
            "exercise": f"{plugin}.hum",
            "title": LEARNERS_WORDS,
            "settings": {"bpm": bpm},
            "minutes": 10,
        }
        for plugin in plugins
    ]
    return {"routine": {"blocks": [{"title": "Day", "tasks": [*tasks, SCALE]}]}, "measure_ladder": False}


def plan(service: httpx.Client, *plugins: str, bpm: int = 72) -> dict[str, Any]:
    response = service.post("/v1/compressions", json=request_of(*plugins, bpm=bpm))
    assert response.status_code == 200, response.text
    found: dict[str, Any] = response.json()["plan"]
    return found


def failures(plan: dict[str, Any]) -> dict[str, str]:
    return {problem["task"]: problem["failure"] for problem in plan.get("plugin_problems", ())}


def plugins_of(service: httpx.Client) -> dict[str, dict[str, Any]]:
    return {each["name"]: each for each in service.get("/v1/plugins").json()["plugins"]}


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("broken")
    install(made, [*BROKEN, *FAILING, *STOPPING])
    return made


@pytest.fixture(scope="module")
def service(folder: Path) -> Iterator[httpx.Client]:
    settings = {
        "PYTHONPATH": paths_with(folder, os.environ.get("PYTHONPATH", "")),
        "MENDED": str(folder / "never"),
        "BAGATELLE_ENGINE_PROCESSES": "1",
        "BAGATELLE_CLOCK_SECONDS": "20",
        "BAGATELLE_PLUGIN_LOAD_SECONDS": "5",
        "BAGATELLE_PLUGIN_SECONDS": "2",
        "BAGATELLE_PLUGIN_FAILURES": "2",
    }
    with served(folder, "--open", **settings) as client:
        yield client


@pytest.fixture(autouse=True)
def _stays_up(service: httpx.Client) -> Iterator[None]:
    yield
    assert service.get("/health/live").status_code == 200
    assert service.get("/health/ready").status_code == 200
    assert failures(plan(service)) == {}


def test_each_is_named_with_its_reason(service: httpx.Client) -> None:
    plugins = plugins_of(service)
    for name, broken in (BROKEN | STOPPING).items():
        assert plugins[name]["status"] == "left out"
        assert broken.reason in plugins[name]["reason"]
        assert plugins[name]["at_work"] is None
    for name in ("piano", *FAILING):
        assert (plugins[name]["status"], plugins[name]["reason"]) == ("loaded", None)


def test_each_is_in_the_log_once(service: httpx.Client, folder: Path) -> None:
    assert service.get("/health/live").status_code == 200
    log = (folder / "serve.log").read_text()
    for name in BROKEN | STOPPING:
        assert log.count(f"plugin '{name}' is left out: ") == 1


def test_one_that_raises_is_left_out_of_the_plan_and_soon_not_asked(
    service: httpx.Client, folder: Path
) -> None:
    name = "raises-when-asked"
    assert [failures(plan(service, name))[name] for _ in range(3)] == ["raised", "raised", "quarantined"]
    at_work = plugins_of(service)[name]["at_work"]
    assert (at_work["status"], at_work["last_failure"]) == ("quarantined", "raised")
    assert (at_work["calls"], at_work["failures"], at_work["failures_in_a_row"]) == (2, 2, 2)
    assert at_work["since"] < at_work["until"]
    log = (folder / "serve.log").read_text()
    assert f"plugin '{name}' failed in bagatelle_material for {name}.hum: RuntimeError at fail, line" in log
    assert "no reed for" not in log
    assert LEARNERS_WORDS not in log


def test_the_problem_says_what_failed_in_plain_words(service: httpx.Client) -> None:
    name = "mended-meanwhile"
    (problem,) = plan(service, name)["plugin_problems"]
    assert (problem["plugin"], problem["hook"]) == (name, "bagatelle_material")
    assert problem["exercise"] == f"{name}.hum"
    assert problem["message"].startswith(f"{LEARNERS_WORDS} is left out: its plugin ")


def test_those_that_do_not_come_back_are_ended_and_the_plan_made_without_them(service: httpx.Client) -> None:
    names = ("ends-when-asked", "hangs-when-asked")
    began = time.monotonic()
    made = plan(service, *names)
    assert failures(made) == {name: FAILING[name].reason for name in names}
    assert {step["task"] for step in made["steps"] if step["task"]} == {"scale"}
    assert time.monotonic() - began < 20
    assert failures(plan(service, *names)) == dict.fromkeys(names, "quarantined")
    for name in names:
        assert plugins_of(service)[name]["at_work"]["status"] == "quarantined"


def test_one_that_is_slow_is_counted(service: httpx.Client) -> None:
    assert failures(plan(service, "slow-when-asked")) == {}
    at_work = plugins_of(service)["slow-when-asked"]["at_work"]
    assert (at_work["status"], at_work["slow_calls"], at_work["slow_milliseconds"]) == ("asked", 1, 100)


def test_where_nothing_else_is_left_it_is_a_problem(service: httpx.Client, folder: Path) -> None:
    sent = request_of("raises-when-asked")
    sent["routine"]["blocks"][0]["tasks"].pop()
    response = service.post("/v1/compressions", json=sent)
    assert response.status_code == 500
    problem = response.json()
    assert problem["type"] == "urn:bagatelle:problem:plugin-failed"
    assert problem["plugin"] == "raises-when-asked"
    assert "bagatelle_material for raises-when-asked.hum" in problem["detail"]
    log = (folder / "serve.log").read_text()
    assert problem["detail"] in log
    assert "no reed for" not in log


def test_forecasts_and_specificity_checks(service: httpx.Client) -> None:
    sent = request_of("hangs-when-asked")
    answer = service.post("/v1/specificity-checks", json=sent)
    assert answer.status_code == 200
    assert [problem["task"] for problem in answer.json()["plugin_problems"]] == ["hangs-when-asked"]
    asked = {"routine": sent["routine"], "date": "2027-03-01", "days": 2}
    response = service.post("/v1/forecasts", json=asked)
    assert (response.status_code, response.json()["plugin"]) == (500, "hangs-when-asked")


def test_the_catalogue_asks_no_plugin(service: httpx.Client) -> None:
    for name in FAILING:
        assert service.get(f"/v1/exercises/{name}.hum").status_code == 200


def test_only_what_is_allowed_is_loaded(folder: Path, tmp_path: Path) -> None:
    settings = {
        "PYTHONPATH": paths_with(folder, os.environ.get("PYTHONPATH", "")),
        "BAGATELLE_ALLOWED_PLUGINS": "piano, saw",
        "BAGATELLE_ENGINE_PROCESSES": "1",
    }
    with served(tmp_path, "--open", **settings) as client:
        plugins = plugins_of(client)
        assert {name for name, each in plugins.items() if each["status"] == "loaded"} == {"piano"}
        assert plugins["saw"]["status"] == "not installed"
        assert plugins["hangs-at-import"]["reason"] == "it is not among the plugins allowed"
        response = client.post("/v1/compressions", json=request_of("slow-when-asked"))
        assert response.status_code == 422, "its processes load no more"
        assert failures(plan(client)) == {}
    assert "plugin 'saw' is left out: it is among the plugins allowed" in (tmp_path / "serve.log").read_text()
