"""A study book as a file of TOML in a folder: served, searched, planned, with no code and no installing."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any, Final

import httpx
import pytest

from tests.integration.serving import run_command, served

STUDY_BOOK: Final = """\
form = 1

[instrument]
id = "blue-book"
family = "bowed"
name = "the blue study book"
version = "2027-1"

[sources.book]
fact = "bars and marked tempi of the studies"
source = "the school's own study book"
status = "verified"

[[choices.study]]
name = "7a"
label = "No. 7, {term.bars} 1 to 16"
bars = 16
bpm = 72

[[choices.study]]
name = "7b"
label = "No. 7, {term.bars} 17 to 32"
bars = 16
bpm = 72

[[choices.study]]
name = "12"
label = "No. 12"
bars = 24
bpm = 60

[[exercise]]
name = "studies"
title = "Studies of the blue book"
also_called = ["etudes"]
area = "technique"
level = "elementary"
stage = "refining"
concreteness = "exact"
divisibility = "sectioned"
strain = "low"
loudness = "moderate"
usual_minutes = 12
smallest_chunk_seconds = 60
set_up_seconds = 10
sources = ["book"]
what = "The blue book: {units}"
how = "as marked, at the tempo printed above it"
how_much = { by = "unit_count", one = "{passes.times}", other = "each {passes.times}" }
done_when = "the last pass had no stop; if not, leave it for next time"

[exercise.settings.studies]
about = "Which studies."
of = "study"
most = 3
default = ["7a", "12"]

[exercise.settings.passes]
about = "How often."
whole = [1, 6]
default = 2

[exercise.units]
each = "studies"
bars = "each.bars"
bpm = "each.bpm"
passes = "passes"
pause_seconds = "5 * passes"
"""


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("catalogues")
    (made / "blue-book.toml").write_text(STUDY_BOOK)
    (made / "red-book.toml").write_text(
        STUDY_BOOK.replace('"blue-book"', '"red-book"').replace("{passes.times}", "{passes.time}")
    )
    (made / "green-book.toml").write_text(
        STUDY_BOOK.replace('"blue-book"', '"green-book"').replace('strain = "low"', 'strain = "high"')
    )
    return made


@pytest.fixture(scope="module")
def service(folder: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[httpx.Client]:
    settings = {"BAGATELLE_CATALOGUES": str(folder), "BAGATELLE_ALLOWED_PLUGINS": "piano"}
    with served(tmp_path_factory.mktemp("served"), "--open", **settings) as client:
        yield client


def test_it_is_a_plugin_beside_the_allowed_ones(service: httpx.Client) -> None:
    plugins = {each["name"]: each for each in service.get("/v1/plugins").json()["plugins"]}
    book = plugins["blue-book.toml"]
    assert (book["status"], book["version"], book["instruments"]) == ("loaded", "2027-1", ["blue-book"])
    assert plugins["piano"]["status"] == "loaded"
    assert plugins["snare-drum"]["status"] == "left out"


def test_what_is_wrong_in_the_others_is_said_with_its_line(service: httpx.Client) -> None:
    plugins = {each["name"]: each for each in service.get("/v1/plugins").json()["plugins"]}
    line = STUDY_BOOK[: STUDY_BOOK.index("how_much")].count("\n") + 1
    assert plugins["red-book.toml"]["reason"].startswith(f"red-book.toml, line {line}: /exercise/0/how_much")
    line = STUDY_BOOK[: STUDY_BOOK.index("[[exercise]]")].count("\n") + 1
    assert plugins["green-book.toml"]["reason"].startswith(
        f"green-book.toml, line {line}, green-book.studies: strain"
    )


def test_it_is_searched_and_shown(service: httpx.Client) -> None:
    found = service.get("/v1/exercises", params={"q": "blue bok", "instrument": "blue-book"}).json()
    assert [each["id"] for each in found["exercises"]] == ["blue-book.studies"]
    shown = service.get("/v1/exercises/blue-book.studies", params={"locale": "en-US"}).json()
    assert [unit["label"] for unit in shown["units"]] == ["No. 7, measures 1 to 16", "No. 12"]


def test_it_is_planned_by_number_and_bar(service: httpx.Client) -> None:
    answer = service.post("/v1/compressions", json=_routine({"studies": ["7a", "7b", "12"]}, "en-US"))
    assert answer.status_code == 200, answer.text
    (what,) = [step["what"] for step in answer.json()["plan"]["steps"] if step.get("task") == "book"]
    assert what.startswith("The blue book: No. 7, measures 1 to 16")
    # 16 bars of 4 beats at 72, twice, and 5 seconds after each: 2 * 53.33 + 10 = 116.67, rounded up.
    (task,) = answer.json()["plan"]["tasks"]
    assert [unit["seconds"] for unit in task["units"]][:2] == [117, 117]


def test_a_study_that_is_not_in_the_book_is_refused(service: httpx.Client) -> None:
    answer = service.post("/v1/compressions", json=_routine({"studies": ["13"]}, "en-GB"))
    assert answer.status_code == 422
    (error,) = answer.json()["errors"]
    assert error["pointer"] == "/routine/blocks/0/tasks/0/settings/studies/0"
    assert "7a" in error["accepted"]


def test_a_folder_that_is_not_there_is_said_at_once(tmp_path: Path) -> None:
    done = run_command(tmp_path, "serve", "--open", BAGATELLE_CATALOGUES=str(tmp_path / "absent"))
    assert done.returncode != 0
    assert "BAGATELLE_CATALOGUES cannot be used: there is no folder" in done.stderr


def _routine(settings: dict[str, Any], locale: str) -> dict[str, Any]:
    task = {"id": "book", "exercise": "blue-book.studies", "settings": settings, "minutes": 20}
    return {
        "instrument": "blue-book",
        "locale": locale,
        "routine": {"blocks": [{"title": "Studies", "minutes": 20, "tasks": [task]}]},
        "circumstances": {"minutes": 8},
    }
