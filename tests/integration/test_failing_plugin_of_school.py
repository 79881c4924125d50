"""What a school stores while a plugin fails: nothing that nobody has looked at, and nothing that lacks a task."""

from collections.abc import Iterator, Mapping
from typing import Any

import pytest
from bagatelle import load_instruments

from tests.integration.problem_checks import problem_in
from tests.integration.school import SchoolOfTest, service_on
from tests.unit.catalogue.sample_plugins import SamplePlugin, hum, point
from tests.unit.engine.numbers import own_task

HUMMING: dict[str, Any] = {
    "routine": {
        "blocks": [
            {
                "title": "Day",
                "tasks": [
                    {"id": "hum", "exercise": "kazoo.hum", "settings": {"bpm": 72}, "minutes": 10},
                    own_task("waltz", 60, 90),
                ],
            }
        ]
    },
}
CALMER: dict[str, Any] = {
    "routine": {"blocks": [{"title": "Day", "tasks": [own_task("waltz", 60, 90), own_task("march", 60)]}]},
}


class Fickle:
    """A kazoo that fails for as long as it is broken."""

    def __init__(self) -> None:
        self.is_broken = False

    def material(self, settings: Mapping[str, Any]) -> Any:
        if self.is_broken and settings["bpm"] != 60:
            raise RuntimeError
        return hum(settings)


@pytest.fixture
def fickle() -> Fickle:
    return Fickle()


@pytest.fixture
def school(any_database_url: str, fickle: Fickle) -> Iterator[SchoolOfTest]:
    instruments = load_instruments(entry_points=[point(SamplePlugin(material=fickle.material))])
    with service_on(any_database_url, instruments=instruments, plugin_failures=1000) as service:
        yield service.school()


def routines_of(school: SchoolOfTest, student_id: str) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = school.owner.get(f"/v1/students/{student_id}/routines").json()["routines"]
    return found


def with_other_beats(bpm: int) -> dict[str, Any]:
    """The same with settings that no answer is kept of."""
    first, second = HUMMING["routine"]["blocks"][0]["tasks"]
    tasks = [{**first, "settings": {"bpm": bpm}}, second]
    return {"routine": {"blocks": [{"title": "Day", "tasks": tasks}]}}


def test_a_routine_that_its_plugin_cannot_look_at_is_not_stored(school: SchoolOfTest, fickle: Fickle) -> None:
    student_id = school.student()["id"]
    fickle.is_broken = True
    problem = problem_in(
        school.owner.post(f"/v1/students/{student_id}/routines", with_other_beats(80)), "plugin-failed"
    )
    assert problem["plugin"] == "kazoo"
    assert routines_of(school, student_id) == []
    school.owner.make(f"/v1/students/{student_id}/routines", CALMER)


def test_what_was_prepared_stays_and_nothing_is_prepared_without_a_task(
    school: SchoolOfTest, fickle: Fickle
) -> None:
    student_id = school.student()["id"]
    school.owner.make(f"/v1/students/{student_id}/routines", with_other_beats(81))
    (routine,) = routines_of(school, student_id)
    prepared = school.owner.post(f"/v1/routines/{routine['id']}/plans", {})
    assert prepared.status_code in (200, 201), prepared.text
    plans = school.owner.get(f"/v1/routines/{routine['id']}/plans").json()
    fickle.is_broken = True
    refused = school.owner.put(f"/v1/routines/{routine['id']}", with_other_beats(82), revision=1)
    problem_in(refused, "plugin-failed")
    assert school.owner.get(f"/v1/routines/{routine['id']}/plans").json() == plans


def test_progress_is_told_from_the_routines_own_words(any_database_url: str) -> None:
    """By a service that has never had an answer of the plugin, and gets none."""
    well = load_instruments(entry_points=[point(SamplePlugin())])
    with service_on(any_database_url, instruments=well) as service:
        school = service.school()
        student_id = school.student()["id"]
        school.owner.make(f"/v1/students/{student_id}/routines", HUMMING)
        (routine,) = routines_of(school, student_id)
    broken = Fickle()
    instruments = load_instruments(entry_points=[point(SamplePlugin(material=broken.material))])
    broken.is_broken = True
    with service_on(any_database_url, instruments=instruments) as service:
        school.service, school.owner.api = service, service.api
        progress = school.owner.get(f"/v1/students/{student_id}/progress")
        assert progress.status_code == 200, progress.text
        prepared = school.owner.post(f"/v1/routines/{routine['id']}/plans", {})
        assert problem_in(prepared, "plugin-failed")["plugin"] == "kazoo"
