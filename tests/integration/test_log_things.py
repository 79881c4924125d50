"""What an entry is of: a step as its sheet had it, a task as its routine had it that day; on which day it was."""

import datetime as dt
from collections.abc import Iterator
from typing import Any
from uuid import uuid4
from zoneinfo import ZoneInfo

import pytest

from tests.integration.hand_made_sheet import (
    LOADED,
    OLD_VERSION,
    REST_STEP,
    ROUTINE,
    SCALES,
    SCALES_STEP,
    WALTZ_STEP,
    WARM_UP_STEP,
    change_sheet,
    keep_sheet,
)
from tests.integration.problem_checks import pointers, problem_in
from tests.integration.school import Clock, SchoolOfTest, service_on

TODAY = dt.date(2027, 3, 1)
VERSION = LOADED.plugin_of(SCALES.id)


class Practising:
    """A student with a routine, and the sheet of today."""

    def __init__(self, school: SchoolOfTest) -> None:
        self.school = school
        self.student: str = school.student()["id"]
        self.routine = school.owner.make(f"/v1/students/{self.student}/routines", ROUTINE)
        self.tasks = {task["key"]: task["id"] for task in self.routine["tasks"]}
        keep_sheet(school, self.routine, TODAY)

    def put(self, where: str | None = None, **content: Any) -> Any:
        where = where or f"/v1/students/{self.student}/logs/{uuid4()}"
        entry = {"day": TODAY.isoformat(), "kind": "short", "seconds": 120, **content}
        return self.school.owner.put(where, {key: value for key, value in entry.items() if value is not None})

    def log(self, **content: Any) -> dict[str, Any]:
        response = self.put(**content)
        assert response.status_code == 201, response.text
        made: dict[str, Any] = response.json()
        return made

    def refused(self, **content: Any) -> list[str]:
        return pointers(problem_in(self.put(**content), "invalid-input"))

    def change_routine(self, *tasks: dict[str, Any]) -> None:
        path = f"/v1/routines/{self.routine['id']}"
        body = {"instrument": "piano", "routine": {"blocks": [{"title": "All of it", "tasks": list(tasks)}]}}
        assert self.school.owner.put(path, body, headers={"If-Match": "*"}).status_code == 200


def task_of(key: str) -> dict[str, Any]:
    task: dict[str, Any] = next(
        task for task in ROUTINE["routine"]["blocks"][0]["tasks"] if task["id"] == key
    )
    return task


@pytest.fixture
def practising(any_database_url: str) -> Iterator[Practising]:
    with service_on(any_database_url, instruments=LOADED) as service:
        yield Practising(service.school())


def test_a_step_is_what_its_sheet_says(practising: Practising) -> None:
    made = practising.log(step=SCALES_STEP, done_when_met=True)
    said = ("task", "routine", "routine_revision", "exercise", "exercise_version", "units", "area", "step")
    assert {name: made[name] for name in said} == {
        "task": practising.tasks["scales"],
        "routine": practising.routine["id"],
        "routine_revision": 1,
        "exercise": SCALES.id,
        # That of the plan, not that of the plugin as it is loaded now.
        "exercise_version": f"{OLD_VERSION['version']} {OLD_VERSION['hash']}",
        "units": ["G", "C"],
        "area": "technique",
        "step": SCALES_STEP,
    }
    own = practising.log(step=WALTZ_STEP)
    assert (own["task"], own["units"], own["area"]) == (practising.tasks["waltz"], ["b"], "repertoire")
    assert (own["exercise"], own["exercise_version"]) == (None, None)
    assert practising.log(step=SCALES_STEP, units=["C"])["units"] == ["C"]
    assert practising.log(step=SCALES_STEP, units=[])["units"] == []
    # A whole unit whose time nobody took.
    assert practising.log(step=SCALES_STEP, seconds=0)["seconds"] == 0


def test_what_stands_in_is_no_task_of_the_routine(practising: Practising) -> None:
    made = practising.log(step=WARM_UP_STEP)
    assert (made["task"], made["routine"], made["area"]) == (None, practising.routine["id"], "warm-up")


def test_steps_that_there_are_not(practising: Practising) -> None:
    assert practising.refused(step="nothing") == ["/step"]
    assert practising.refused(step=REST_STEP) == ["/step"]
    assert practising.refused(step=SCALES_STEP, day="2027-02-28") == ["/step"]
    assert practising.refused(step=SCALES_STEP, units=["C", "D"]) == ["/units/1"]
    assert practising.refused(step=SCALES_STEP, units=[], seconds=0) == ["/seconds"]


def test_a_step_sent_again_is_known_whatever_became_of_its_sheet(practising: Practising) -> None:
    made = practising.log(step=SCALES_STEP)
    where = f"/v1/students/{practising.student}/logs/{made['id']}"
    change_sheet(practising.school, practising.routine, TODAY)
    again = practising.put(where, step=SCALES_STEP)
    assert (again.status_code, again.json()) == (200, made)
    assert practising.refused(step=SCALES_STEP) == ["/step"]


def test_a_task_is_what_its_routine_says(practising: Practising) -> None:
    made = practising.log(task=practising.tasks["scales"], units=["G"])
    assert (made["exercise"], made["area"], made["units"]) == (SCALES.id, "technique", ["G"])
    assert made["exercise_version"] == f"{VERSION.version} {VERSION.hash}"
    assert (made["routine"], made["routine_revision"]) == (practising.routine["id"], 1)
    waltz = practising.log(task=practising.tasks["waltz"], units=["b", "a"])
    assert (waltz["area"], waltz["units"], waltz["exercise"]) == ("repertoire", ["b", "a"], None)
    # As a plan would have it: from its title.
    jam = practising.log(task=practising.tasks["jam"], kind="free", units=["time"])
    assert jam["area"] == "improvisation"
    assert practising.log(task=practising.tasks["jam"])["units"] == []


def test_tasks_and_units_that_there_are_not(practising: Practising) -> None:
    other = Practising(practising.school)
    assert practising.refused(task=str(uuid4())) == ["/task"]
    assert practising.refused(task=other.tasks["scales"], units=["C"]) == ["/task"]
    assert practising.refused(task=practising.tasks["scales"], units=["C", "D", "G", "x"]) == [
        "/units/1",
        "/units/3",
    ]
    assert practising.refused(task=practising.tasks["waltz"], units=["time"]) == ["/units/0"]


def test_a_unit_that_the_task_has_lost_may_still_be_logged(practising: Practising) -> None:
    scales = {**task_of("scales"), "settings": {"keys": ["C", "D"]}}
    practising.change_routine(scales, task_of("jam"))
    for units in (["C", "D"], ["G"]):
        assert practising.log(task=practising.tasks["scales"], units=units)["units"] == units
    assert practising.refused(task=practising.tasks["scales"], units=["A"]) == ["/units/0"]
    # So may the task itself, when the routine has lost it.
    waltz = practising.log(task=practising.tasks["waltz"], units=["a"])
    assert (waltz["units"], waltz["routine_revision"]) == (["a"], 1)


def test_a_task_is_as_the_routine_had_it_that_day(practising: Practising) -> None:
    clock = practising.school.service.clock
    assert isinstance(clock, Clock)
    clock.go_on(days=10)
    practising.change_routine({**task_of("jam"), "area": "harmony"})
    for day, revision, area in (
        ("2027-03-01", 1, "improvisation"),
        ("2027-03-10", 1, "improvisation"),
        ("2027-03-11", 2, "harmony"),
        # Before there was a routine: the first that has it.
        ("2027-02-01", 1, "improvisation"),
    ):
        made = practising.log(task=practising.tasks["jam"], day=day)
        assert (made["routine_revision"], made["area"]) == (revision, area)


def test_a_filter_by_task(practising: Practising) -> None:
    made = practising.log(task=practising.tasks["jam"])
    practising.log(task=practising.tasks["scales"])
    path = f"/v1/students/{practising.student}/logs?task={practising.tasks['jam']}"
    assert practising.school.owner.get(path).json()["entries"] == [made]


def test_the_day_of_a_moment_is_the_students_own(practising: Practising) -> None:
    """Oslo's clocks go from 2 to 3 on 28 March 2027, and back from 3 to 2 on 31 October (Directive 2000/84/EC)."""
    clock = practising.school.service.clock
    assert isinstance(clock, Clock)
    clock.go_on(days=300)
    for moment, day in (
        ("2027-03-27T22:59:59Z", "2027-03-27"),
        ("2027-03-27T23:00:00Z", "2027-03-28"),
        ("2027-03-28T21:59:59Z", "2027-03-28"),
        ("2027-03-28T22:00:00Z", "2027-03-29"),
        ("2027-10-30T22:00:00Z", "2027-10-31"),
        ("2027-10-31T22:59:59Z", "2027-10-31"),
        ("2027-10-31T23:00:00Z", "2027-11-01"),
        ("2027-10-31T02:30:00-04:00", "2027-10-31"),
    ):
        assert practising.log(day=None, done_at=moment)["day"] == day
        there = dt.datetime.fromisoformat(moment).astimezone(ZoneInfo("Europe/Oslo"))
        assert there.date().isoformat() == day


def test_past_midnight_belongs_to_the_day_said(practising: Practising) -> None:
    """At a quarter past midnight the student says yesterday; a moment would be today."""
    clock = practising.school.service.clock
    assert isinstance(clock, Clock)
    clock.time = dt.datetime(2027, 3, 1, 23, 15, tzinfo=dt.UTC)
    assert practising.log(day="2027-03-01")["day"] == "2027-03-01"
    assert practising.log(day=None, done_at="2027-03-02T00:15:00+01:00")["day"] == "2027-03-02"
    assert practising.log(day="2027-03-02")["day"] == "2027-03-02"
    assert practising.refused(day="2027-03-03") == ["/day"]


def test_a_moment_sent_again_is_known_though_the_time_zone_changed(practising: Practising) -> None:
    moment = "2027-02-28T23:30:00+01:00"
    made = practising.log(day=None, done_at=moment)
    body = {"display_name": "Ilse", "time_zone": "Pacific/Auckland"}
    student = f"/v1/students/{practising.student}"
    assert practising.school.owner.put(student, body, headers={"If-Match": "*"}).status_code == 200
    again = practising.put(f"{student}/logs/{made['id']}", day=None, done_at=moment)
    assert (again.status_code, again.json()) == (200, made)
    assert practising.log(day=None, done_at=moment)["day"] == "2027-03-01"


def test_the_plugin_is_gone(any_database_url: str) -> None:
    """What was logged stays; a step still tells all, a task no more than what the routine says of it."""
    with service_on(any_database_url, instruments=LOADED) as service:
        practising = Practising(service.school())
        made = practising.log(task=practising.tasks["scales"], units=["C"])
    with service_on(any_database_url) as without:
        practising.school.service = without
        practising.school.owner.api = without.api
        where = f"/v1/students/{practising.student}/logs/{made['id']}"
        again = practising.put(where, task=practising.tasks["scales"], units=["C"])
        assert (again.status_code, again.json()) == (200, made)
        step = practising.log(step=SCALES_STEP)
        assert (step["units"], step["exercise_version"][:5]) == (["G", "C"], OLD_VERSION["version"])
        task = practising.log(task=practising.tasks["scales"])
        assert (task["exercise"], task["exercise_version"], task["area"]) == (SCALES.id, None, None)
        assert practising.refused(task=practising.tasks["scales"], units=["C"]) == ["/units/0"]
