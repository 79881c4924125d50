"""The guide for authors followed to the letter, in an empty folder, with wheels alone and no index: a service that
knows nothing of the plugin finds it, and makes a plan with its exercise.
"""

import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import httpx
import pytest

from tests.architecture.source_tree import ROOT
from tests.guide import Run, steps_of_the_guide
from tests.packaging.test_installed import HASHES, clean_environment, run, served

pytestmark = [pytest.mark.slow, pytest.mark.xdist_group("packaging")]  # it downloads what the lock names

PLUGIN = "tin-whistle"
EXERCISE = f"{PLUGIN}.held-notes"


@pytest.fixture(scope="module")
def empty_folder(built: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An empty folder but for `dist`: our wheels, and what they, building and testing need, as locked."""
    folder = tmp_path_factory.mktemp("author")
    dist = folder / "dist"
    dist.mkdir()
    for wheel in built.glob("*.whl"):
        shutil.copy(wheel, dist)
    constraints = tmp_path_factory.mktemp("lock") / "constraints.txt"
    constraints.write_text(HASHES.sub("", (ROOT / "requirements.lock").read_text(encoding="utf-8")))
    # As the guide says, with the locked versions.
    command = (
        "pip download --quiet --dest dist --find-links dist bagatelle bagatelle-service hatchling pytest"
    )
    assert command.replace(" --quiet", "") in (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    run([sys.executable, "-m", *command.split(), "--constraint", constraints], folder)
    return folder


@pytest.fixture(scope="module")
def followed(empty_folder: Path) -> Path:
    """The same folder after every step of the guide."""
    for step in steps_of_the_guide():
        if isinstance(step, Run):
            run_in_a_shell(step.commands, empty_folder)
        else:
            (empty_folder / step.path).write_text(step.text, encoding="utf-8")
    return empty_folder


@pytest.fixture(scope="module")
def client(followed: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[httpx.Client]:
    with served(followed / "environment" / "bin", tmp_path_factory.mktemp("service")) as client:
        yield client


def run_in_a_shell(commands: str, folder: Path) -> None:
    # `python3` is the one that runs these tests; whatever asks an index all the same finds none.
    path = f"{Path(sys.executable).parent}{os.pathsep}{os.environ['PATH']}"
    environment = clean_environment() | {"PATH": path, "PIP_INDEX_URL": "http://127.0.0.1:9/simple"}
    done = subprocess.run(
        ["sh", "-e"], input=commands, cwd=folder, env=environment, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, f"{commands}\n{done.stdout}\n{done.stderr}"


def test_the_plugin_is_installed_and_not_only_lying_there(followed: Path) -> None:
    python = followed / "environment" / "bin" / "python"
    place = run([python, "-c", "import bagatelle_tin_whistle as it; print(it.__file__)"], followed.parent)
    assert Path(place).is_relative_to(followed / "environment")


def test_the_service_lists_it(client: httpx.Client) -> None:
    plugins = {entry["name"]: entry for entry in client.get("/v1/plugins").json()["plugins"]}
    assert plugins[PLUGIN]["status"] == "loaded"
    assert plugins[PLUGIN]["distribution"] == f"bagatelle-{PLUGIN}"
    assert plugins[PLUGIN]["instruments"] == [PLUGIN]


def test_a_plan_is_made_with_its_exercise(client: httpx.Client) -> None:
    task = {"id": "t", "exercise": EXERCISE, "minutes": 20}
    request = {"instrument": PLUGIN, "routine": {"blocks": [{"title": "Tone", "tasks": [task]}]}}
    answer = client.post("/v1/compressions", json=request)
    assert answer.status_code == 200, answer.text
    (step,) = [step for step in answer.json()["plan"]["steps"] if step["task"] == "t"]
    assert step["what"].startswith("Held notes: low D")
    assert step["how"] == "8 beats each at crotchet = 60, in one breath"
    # Of each note 4 times 8 beats at 60, and 8 seconds of breath: 40 seconds.
    assert step["seconds"] == 40 * len(step["units"])
    american = client.post("/v1/compressions", json={**request, "locale": "en-US"})
    assert "quarter note = 60" in american.text


def test_what_does_not_go_together_is_refused_in_its_words(client: httpx.Client) -> None:
    task = {"id": "t", "exercise": EXERCISE, "minutes": 20, "settings": {"beats": 16, "bpm": 50}}
    request = {"instrument": PLUGIN, "routine": {"blocks": [{"title": "Tone", "tasks": [task]}]}}
    answer = client.post("/v1/compressions", json=request)
    assert answer.status_code == 422, answer.text
    assert "accepted: at most 16 seconds a note" in answer.text
