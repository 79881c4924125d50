"""The catalogue's operations, on the plugins that are installed and on one that fails."""

from collections.abc import Iterator
from importlib.metadata import EntryPoint
from typing import Any

import jsonschema_rs
import pytest
from bagatelle import Instruments, load_instruments
from bagatelle.model.vocabulary import AREAS, STAGES, STRAINS

from tests.integration.api_client import ApiClient, api_client


@pytest.fixture(scope="module")
def instruments() -> Instruments:
    loaded = load_instruments()
    assert {instrument.id for instrument in loaded.instruments} >= {"piano", "snare-drum"}
    return loaded


@pytest.fixture
def api(instruments: Instruments) -> Iterator[ApiClient]:
    with api_client(instruments=instruments) as client:
        yield client


def test_instruments_with_their_names(api: ApiClient, instruments: Instruments) -> None:
    answer = api.get("/v1/instruments").json()
    assert answer["next"] is None
    assert [each["id"] for each in answer["instruments"]] == [each.id for each in instruments.instruments]
    assert {each["id"]: each["name"].lower() for each in answer["instruments"]}["snare-drum"] == "snare drum"
    assert sum(each["exercise_count"] for each in answer["instruments"]) == len(instruments.exercises)


def every_match(api: ApiClient, **filters: str) -> list[dict[str, Any]]:
    """All pages of a search."""
    found: list[dict[str, Any]] = []
    cursor: dict[str, str] = {}
    while True:
        answer = api.get("/v1/exercises", params=filters | cursor).json()
        found += answer["exercises"]
        if answer["next"] is None:
            assert len(found) == answer["matching"]
            return found
        cursor = {"cursor": answer["next"]}


def test_without_filters_every_exercise_is_listed(api: ApiClient, instruments: Instruments) -> None:
    listed = every_match(api)
    assert [each["id"] for each in listed] == [each.id for each in instruments.exercises]
    assert all(each["title"] and each["id"].startswith(each["instrument"] + ".") for each in listed)


@pytest.mark.parametrize(
    ("name", "values"),
    [
        ("instrument", [*sorted(each.id for each in load_instruments().instruments), "nose-flute"]),
        ("area", list(AREAS)),
        ("strain", list(STRAINS)),
        ("level", ["beginner", "elementary", "intermediate", "advanced", "professional"]),
        ("stage_hint", list(STAGES)),
        ("loudness", ["silent", "soft", "moderate", "loud"]),
        ("concreteness", ["exact", "guided", "open"]),
        ("divisibility", ["fine", "sectioned", "whole"]),
    ],
)
def test_the_values_of_a_filter_share_out_the_list(api: ApiClient, name: str, values: list[str]) -> None:
    whole = every_match(api)
    parts = {value: every_match(api, **{name: value}) for value in values}
    for value, part in parts.items():
        assert part == [each for each in whole if each[name] == value]
    assert sum(map(len, parts.values())) == len(whole)
    # The first two values in one, with a comma between, are both parts together.
    two = every_match(api, **{name: ",".join(values[:2])})
    assert two == [each for each in whole if each[name] in values[:2]]
    counts = api.get("/v1/exercises", params={name: values[0]}).json()["counts"][name]
    assert {value: counts.get(value, 0) for value in values} == {value: len(parts[value]) for value in values}


def test_filters_must_all_hold(api: ApiClient) -> None:
    found = api.get(
        "/v1/exercises", params={"instrument": "piano", "area": "warm-up", "strain": "low"}
    ).json()
    assert found["exercises"]
    for each in found["exercises"]:
        assert (each["instrument"], each["area"], each["strain"]) == ("piano", "warm-up", "low")


def test_every_exercise_is_shown_whole(api: ApiClient, instruments: Instruments) -> None:
    for exercise in instruments.exercises:
        answer = api.get(f"/v1/exercises/{exercise.id}").json()
        assert answer["id"] == exercise.id
        assert all(answer["texts"].values())
        assert (answer["soft_form"] is None) == (exercise.soft_form is None)
        assert len(answer["cautions"]) == len(exercise.cautions)
        assert answer["sources"]
        jsonschema_rs.Draft202012Validator(answer["settings_schema"]).validate(answer["defaults"])
        assert all(unit["seconds"] >= 1 and unit["label"] for unit in answer["units"])


def test_the_seconds_of_a_scale_follow_from_its_music(api: ApiClient) -> None:
    answer = api.get("/v1/exercises/piano.major-scale").json()
    settings = answer["defaults"]
    # Up and down n octaves, the top note once: 14 n + 1 notes (handbook reckoning of scale drills, from memory).
    notes = 14 * settings["octaves"] + 1
    music_seconds = notes / settings["notes_per_beat"] * 60 / settings["bpm"] * settings["passes"]
    for unit in answer["units"]:
        assert unit["music_seconds"] == pytest.approx(music_seconds, abs=0.001)
        assert unit["seconds"] >= unit["music_seconds"]


def test_texts_speak_the_language_asked_for(api: ApiClient) -> None:
    british = api.get("/v1/exercises/piano.major-scale").json()
    american = api.get("/v1/exercises/piano.major-scale?locale=en-US").json()
    assert british["units"] == american["units"]
    assert "quaver" in british["texts"]["how"] or "crotchet" in british["texts"]["how"]
    assert "note" in american["texts"]["how"]
    assert "quaver" not in american["texts"]["how"]
    assert "crotchet" not in american["texts"]["how"]


def test_an_unspoken_language_falls_back_to_english(api: ApiClient) -> None:
    english = api.get("/v1/exercises?locale=en").json()
    assert english["exercises"]
    assert api.get("/v1/exercises?locale=xx").json() == english


def test_a_plugin_that_fails_is_named_and_the_others_run() -> None:
    points = [
        EntryPoint("broken", "no_such_module_here", "bagatelle.instruments"),
        EntryPoint("piano", "bagatelle_piano.plugin", "bagatelle.instruments"),
    ]
    with api_client(instruments=load_instruments(entry_points=points)) as api:
        plugins = {each["name"]: each for each in api.get("/v1/plugins").json()["plugins"]}
        assert plugins["broken"]["status"] == "left out"
        assert "no_such_module_here" in plugins["broken"]["reason"]
        assert plugins["piano"]["status"] == "loaded"
        assert plugins["piano"]["reason"] is None
        assert api.get("/v1/exercises/piano.major-scale").status_code == 200
