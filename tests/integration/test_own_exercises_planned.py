"""A study book by number and bars, planned end to end: stored, prepared, a day, its logs; changed, and removed."""

from collections.abc import Iterator
from typing import Any
from uuid import uuid4

import httpx
import pytest
from bagatelle.command.main import main
from bagatelle_service.school.own_catalogues import plugin_name

from tests.integration.own_exercises import LIST, PATH, STUDY_BOOK, put, stored
from tests.integration.problem_checks import problem_in
from tests.integration.school import SchoolOfTest, service_on

STUDIES = {
    "id": "studies",
    "title": "Studies",
    "exercise": "study-book.studies",
    "minutes": 12,
}
POLKA = {"id": "polka", "title": "Polka", "minutes": 20, "area": "repertoire"}


def routine(**settings: Any) -> dict[str, Any]:
    studies = {**STUDIES, "settings": {"numbers": ["no-2"], "passes": 2, "bpm": 72, **settings}}
    blocks = [{"title": "Book", "tasks": [studies]}, {"title": "Pieces", "tasks": [POLKA]}]
    return {"instrument": "study-book", "routine": {"blocks": blocks}}


@pytest.fixture
def school(any_database_url: str) -> Iterator[SchoolOfTest]:
    with service_on(any_database_url) as service:
        school = service.school()
        stored(school)
        yield school


class Kept:
    """A routine of a student, with its plans prepared."""

    def __init__(self, school: SchoolOfTest) -> None:
        self.school, self.owner = school, school.owner
        self.student: str = school.student()["id"]
        self.routine = self.owner.make(f"/v1/students/{self.student}/routines", routine())
        self.path = f"/v1/routines/{self.routine['id']}"
        self.prepare()

    def prepare(self) -> dict[str, Any]:
        answer = self.owner.post(self.path + "/plans", {})
        assert answer.status_code == 200, answer.text
        prepared: dict[str, Any] = answer.json()
        return prepared

    def outdated(self) -> list[dict[str, Any]]:
        plans = self.owner.get(self.path + "/plans").json()["plans"]
        (usual,) = [plan for plan in plans if plan["kind"] == "usual"]
        reasons: list[dict[str, Any]] = self.owner.get(f"/v1/plans/{usual['id']}").json()["outdated"]
        assert usual["outdated"] == reasons
        return reasons


def version_of(school: SchoolOfTest) -> str:
    plugin = school.owner.get("/v1/exercises/study-book.studies").json()["plugin"]
    return f"{plugin['version']} {plugin['hash']}"


def change(school: SchoolOfTest, before: str, after: str) -> None:
    assert before in STUDY_BOOK
    changed = put(school.owner, STUDY_BOOK.replace(before, after), **{"If-Match": "*"})
    assert changed.status_code == 200, changed.text


def remove(school: SchoolOfTest) -> None:
    assert school.owner.delete(PATH, headers={"If-Match": "*"}).status_code == 204


def test_a_day_of_the_book(school: SchoolOfTest) -> None:
    kept = Kept(school)
    day = f"/v1/students/{kept.student}/days/2027-03-01"
    made = school.owner.put(day, {"minutes": 12})
    assert made.status_code == 200, made.text
    steps = [step for step in made.json()["sheet"]["steps"] if step["task"] == "studies"]
    assert [unit["unit"] for unit in steps[0]["units"]] == ["no-2"]
    assert steps[0]["units"][0]["what"] == "Studies: No. 2, 24 bars"
    assert "crotchet = 72" in steps[0]["how"]
    # 24 bars of 3 crotchets at 72 a minute, twice.
    assert steps[0]["seconds"] == 24 * 3 * 60 / 72 * 2
    entry = {"day": "2027-03-01", "kind": "short", "task": kept.routine["tasks"][0]["id"], "seconds": 120}
    logs = f"/v1/students/{kept.student}/logs"
    logged = school.owner.put(f"{logs}/{uuid4()}", {**entry, "units": ["no-2"]})
    assert logged.status_code == 201, logged.text
    assert logged.json()["exercise"] == "study-book.studies"
    problem_in(school.owner.put(f"{logs}/{uuid4()}", {**entry, "units": ["no-9"]}), "invalid-input")
    progress = school.owner.get(f"/v1/students/{kept.student}/progress")
    assert progress.status_code == 200, progress.text
    assert {"technique", "repertoire"} <= {each["area"] for each in progress.json()["progress"]["areas"]}


def test_settings_are_held_to_the_book(school: SchoolOfTest) -> None:
    student = school.student()["id"]
    path = f"/v1/students/{student}/routines"
    problem = problem_in(school.owner.post(path, routine(numbers=["no-9"])), "invalid-input")
    assert problem["errors"][0]["pointer"] == "/routine/blocks/0/tasks/0/settings/numbers/0"
    assert "no-1" in problem["errors"][0]["accepted"]
    unknown = routine()
    unknown["routine"]["blocks"][0]["tasks"][0]["exercise"] = "study-book.scales"
    problem = problem_in(school.owner.post(path, unknown), "invalid-input")
    assert problem["errors"][0]["pointer"] == "/routine/blocks/0/tasks/0/exercise"


def test_what_stores_nothing_knows_the_book(school: SchoolOfTest) -> None:
    plan = school.owner.post("/v1/compressions", {**routine(), "circumstances": {"minutes": 10}})
    assert plan.status_code == 200, plan.text
    assert "No. 2, 24 bars" in plan.text
    assert school.owner.post("/v1/specificity-checks", routine()).status_code == 200
    short = {"date": "2027-03-02", "kind": "short", "circumstances": {"minutes": 10}}
    stretch = {"date": "2027-03-01", "days": 3, "known_days": [short]}
    forecast = school.owner.post("/v1/forecasts", {**routine(), **stretch})
    assert forecast.status_code == 200, forecast.text
    problem_in(school.service.operator.post("/v1/forecasts", {**routine(), **stretch}), "invalid-input")
    for path in ("/v1/compressions", "/v1/specificity-checks"):
        problem_in(school.service.operator.post(path, routine()), "invalid-input")


def test_an_import_of_the_book(school: SchoolOfTest) -> None:
    school.student("Per", key="per")
    header = "student_key,routine_key,instrument,block,title,exercise,minutes"
    table = f"{header}\nper,daily,study-book,Book,Studies,study-book.{{}},10\n"

    def imported(exercise: str) -> httpx.Response:
        return school.owner.send(
            "POST",
            "/v1/routines/imports",
            content=table.format(exercise).encode(),
            headers={"Content-Type": "text/csv"},
        )

    assert problem_in(imported("scales"), "invalid-input")["errors"][0]["line"] == 2
    assert imported("studies").status_code == 201


def test_a_changed_book_makes_plans_outdated(school: SchoolOfTest) -> None:
    kept = Kept(school)
    assert kept.outdated() == []
    before = version_of(school)
    change(school, "bars = 24", "bars = 32")
    now = version_of(school)
    reason = {"reason": "plugin", "about": plugin_name("study-book"), "before": before, "now": now}
    assert kept.outdated() == [reason]
    group = school.group([], [kept.student])
    glance = school.owner.get(f"/v1/groups/{group['id']}/glance").json()
    assert glance["students"][0]["plans"] == "outdated"
    lines = school.owner.post("/v1/preparations", {"only": "outdated"}).text.splitlines()
    assert '"students":1' in lines[-1].replace(" ", "")
    assert kept.outdated() == []
    assert "32 bars" in school.owner.put(f"/v1/students/{kept.student}/days/2027-03-01", {"minutes": 12}).text


def test_a_removed_book_leaves_what_was_made_of_it(school: SchoolOfTest) -> None:
    kept = Kept(school)
    before = version_of(school)
    remove(school)
    reason = {"reason": "plugin", "about": plugin_name("study-book"), "before": before, "now": None}
    assert kept.outdated() == [reason]
    shown = school.owner.get(kept.path)
    assert shown.json()["routine"]["blocks"][0]["tasks"][0]["exercise"] == "study-book.studies"
    # The plan is in words, so a day can still be made of it.
    day = school.owner.put(f"/v1/students/{kept.student}/days/2027-03-01", {"minutes": 12})
    assert "No. 2, 24 bars" in day.text
    assert school.owner.get(f"/v1/students/{kept.student}/progress").status_code == 200
    problem = problem_in(school.owner.post(kept.path + "/plans", {}), "invalid-input")
    assert [each["pointer"] for each in problem["errors"]] == ["/instrument"]
    # Back again, it is as it was.
    stored(school)
    assert kept.outdated() == []


def test_the_command_prepares_the_book_too(
    school: SchoolOfTest,
    any_database_url: str,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.setenv("BAGATELLE_DATABASE_URL", any_database_url)
    monkeypatch.setenv("BAGATELLE_ENGINE_PROCESSES", "1")
    kept = Kept(school)
    change(school, "bars = 24", "bars = 32")
    assert main(["prepare", "--school", school.id, "--only", "outdated"]) == 0
    assert "1 students, 1 routines: 1 changed" in capsys.readouterr().out
    assert kept.outdated() == []


def test_students_of_two_schools_with_the_same_ids(school: SchoolOfTest) -> None:
    other = school.service.school("Another school")
    assert put(other.owner, STUDY_BOOK.replace("bars = 24", "bars = 6")).status_code == 201
    days = []
    for each in (school, other):
        kept = Kept(each)
        days.append(each.owner.put(f"/v1/students/{kept.student}/days/2027-03-01", {"minutes": 12}).text)
    assert ["No. 2, 24 bars" in day for day in days] == [True, False]
    assert ["No. 2, 6 bars" in day for day in days] == [False, True]
    assert LIST in other.owner.get("/openapi.json").text
