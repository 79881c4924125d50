"""The service installed from wheels, in a new environment and an empty folder, far from any checkout."""

import os
import re
import socket
import subprocess
import time
import venv
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import httpx
import pytest

from tests.architecture.source_tree import DISTRIBUTIONS, PLUGINS, ROOT, pyproject

pytestmark = [pytest.mark.slow, pytest.mark.xdist_group("packaging")]  # it downloads what the lock names

PATIENCE_SECONDS = 30
HASHES = re.compile(r" \\\n    --hash=\S+")
ROUTINE = ROOT / "service" / "bagatelle_service" / "demo" / "piano.json"


@pytest.fixture(scope="module")
def programs(built: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of the programs of a new environment that holds the wheels and what they need, as locked."""
    folder = tmp_path_factory.mktemp("installed")
    venv.create(folder / "environment", with_pip=True)
    # Constraints, for the lock also holds the tools; pip takes no hashes there.
    constraints = folder / "constraints.txt"
    constraints.write_text(HASHES.sub("", (ROOT / "requirements.lock").read_text(encoding="utf-8")))
    programs = folder / "environment" / "bin"
    wheels = sorted(str(wheel) for wheel in built.glob("*.whl"))
    run(
        [programs / "python", "-m", "pip", "install", "--quiet", "--constraint", constraints, *wheels], folder
    )
    return programs


@pytest.fixture(scope="module")
def folder(programs: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An empty folder in which the database has been migrated."""
    empty = tmp_path_factory.mktemp("empty")
    assert "revision none to" in run([programs / "bagatelle", "migrate"], empty)
    assert [path.name for path in empty.iterdir()] == ["bagatelle.sqlite3"]
    return empty


def clean_environment() -> dict[str, str]:
    dropped = ("BAGATELLE_", "PYTHON", "VIRTUAL_ENV", "COVERAGE")
    return {name: value for name, value in os.environ.items() if not name.startswith(dropped)}


def run(command: list[str | Path], folder: Path) -> str:
    done = subprocess.run(
        command, cwd=folder, env=clean_environment(), capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


@contextmanager
def served(programs: Path, folder: Path) -> Iterator[httpx.Client]:
    with socket.socket() as listener:
        listener.bind(("127.0.0.1", 0))
        port = str(listener.getsockname()[1])
    log = folder / "serve.log"
    command: list[str | Path] = [
        programs / "bagatelle",
        "serve",
        "--open",
        "--host",
        "127.0.0.1",
        "--port",
        port,
    ]
    with log.open("w") as output:
        process = subprocess.Popen(command, cwd=folder, env=clean_environment(), stdout=output, stderr=output)
    try:
        with httpx.Client(base_url=f"http://127.0.0.1:{port}", timeout=PATIENCE_SECONDS) as client:
            wait_until_ready(client, process, log)
            yield client
    finally:
        process.terminate()
        process.wait(PATIENCE_SECONDS)


def wait_until_ready(client: httpx.Client, process: "subprocess.Popen[bytes]", log: Path) -> None:
    give_up_at = time.monotonic() + PATIENCE_SECONDS
    while time.monotonic() < give_up_at and process.poll() is None:
        try:
            if client.get("/health/ready").status_code == 200:
                return
        except httpx.TransportError:
            time.sleep(0.1)
    raise AssertionError("the service is not ready: " + log.read_text())


def test_what_runs_is_what_was_installed(programs: Path, folder: Path) -> None:
    packages = ", ".join(
        ["bagatelle", "bagatelle_service", *(f"bagatelle_{Path(each).name}" for each in PLUGINS)]
    )
    question = f"import {packages}; print(*(package.__file__ for package in ({packages})), sep='\\n')"
    places = run([programs / "python", "-c", question], folder).splitlines()
    assert len(places) == len(DISTRIBUTIONS)
    assert [place for place in places if not Path(place).is_relative_to(programs.parent)] == []


def test_the_locked_versions_are_installed(programs: Path, folder: Path) -> None:
    installed = run([programs / "python", "-m", "pip", "freeze"], folder)
    lock = (ROOT / "requirements.lock").read_text(encoding="utf-8")
    pinned = set(re.findall(r"^([a-z0-9-]+==\S+)", lock, re.MULTILINE))
    found = {line.lower().replace("_", "-") for line in installed.splitlines() if "==" in line}
    assert len(found) > 10
    assert found <= pinned


def test_a_plan_is_made_without_a_server(programs: Path, folder: Path) -> None:
    assert "Short-day plan: 29½ min of the usual 120 min" in run(
        [programs / "bagatelle", "plan", ROUTINE], folder
    )


def test_a_plan_is_made_over_http_and_the_docs_are_there(programs: Path, folder: Path) -> None:
    with served(programs, folder) as client:
        answer = client.post(
            "/v1/compressions", content=ROUTINE.read_bytes(), headers={"Content-Type": "application/json"}
        )
        assert answer.status_code == 200, answer.text
        assert answer.json()["plan"]["budget_seconds"] == 1800
        plugins = {entry["distribution"] for entry in client.get("/v1/plugins").json()["plugins"]}
        assert plugins == {pyproject(folder)["project"]["name"] for folder in PLUGINS}
        committed = (ROOT / "openapi" / "v1.json").read_bytes()
        assert client.get("/openapi.json").json() == httpx.Response(200, content=committed).json()
        page = client.get("/docs")
        assert page.status_code == 200
        assets = re.findall(r'(?:src|href)="([^"]+)"', page.text)
        assert len(assets) >= 3
        for asset in assets:
            assert client.get(str(page.url.join(asset).path)).status_code == 200, asset


def test_the_contract_is_the_committed_one(programs: Path, folder: Path) -> None:
    run([programs / "bagatelle", "contract", "--check"], folder)


def test_the_demonstration_runs(programs: Path, folder: Path) -> None:
    shown = run([programs / "python", "-m", "bagatelle_service.demo", "--once"], folder)
    assert shown.count("Short-day plan:") == 2
    assert shown.count("accepted") == 2
