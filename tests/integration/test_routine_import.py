"""Routines of many students over the API: a document a line or a task a row, all of them or none."""

import json
from collections.abc import Iterator
from typing import Any

import pytest
from bagatelle import load_instruments

from tests.integration.problem_checks import pointers, problem_in
from tests.integration.rows_sent import as_csv, as_ndjson, places, send_csv, send_ndjson
from tests.integration.school import SchoolOfTest, service_on
from tests.integration.test_routines import SCALES, WALTZ, ids_of, routine_of

PATH = "/v1/routines/imports"
HEADER = (
    "student_key",
    "routine_key",
    "instrument",
    "block",
    "task",
    "title",
    "area",
    "minutes",
    "due",
    "stage",
)
ROWS = [
    ("oboe-17", "weekdays", "oboe", "Warm-up", "long", "Long notes", "tone", "7.5", "", ""),
    ("oboe-17", "weekdays", "oboe", "Pieces", "", "Lullaby", "repertoire", "20", "2027-05-12", "refining"),
    ("horn-4", "weekdays", "horn", "Warm-up", "", "Long notes", "tone", "10", "", ""),
    ("oboe-17", "weekdays", "oboe", "Warm-up", "", "Scales", "technique", "5", "", ""),
]


@pytest.fixture
def students(school: SchoolOfTest) -> dict[str, str]:
    return {key: school.student(key=key)["id"] for key in ("oboe-17", "horn-4")}


@pytest.fixture
def catalogue_school(any_database_url: str) -> Iterator[SchoolOfTest]:
    with service_on(any_database_url, instruments=load_instruments()) as service:
        yield service.school()


def routines_of(school: SchoolOfTest, student_id: str) -> list[dict[str, Any]]:
    listed: list[dict[str, Any]] = school.owner.get(f"/v1/students/{student_id}/routines").json()["routines"]
    return listed


def exported(school: SchoolOfTest, body: dict[str, Any]) -> dict[str, Any]:
    """The document of a routine that another student has."""
    made = school.owner.make(f"/v1/students/{school.student()['id']}/routines", body)
    document: dict[str, Any] = school.owner.get(f"/v1/routines/{made['id']}/export").json()
    return document


def test_a_table_becomes_routines(school: SchoolOfTest, students: dict[str, str]) -> None:
    table = as_csv(HEADER, ROWS)
    dry = send_csv(school.owner, f"{PATH}?dry_run=true", table)
    assert (dry.status_code, dry.json()["made"], dry.json()["routines"][0]["id"]) == (200, 2, None)
    assert routines_of(school, students["oboe-17"]) == []
    answer = send_csv(school.owner, PATH, table)
    assert (answer.status_code, answer.json()["made"]) == (201, 2)
    rows = answer.json()["routines"]
    assert [(row["line"], row["student"], row["revision"]) for row in rows] == [
        (2, students["oboe-17"], 1),
        (4, students["horn-4"], 1),
    ]
    made = school.owner.get(f"/v1/routines/{rows[0]['id']}").json()
    assert (made["key"], made["instrument"]) == ("weekdays", "oboe")
    blocks = made["routine"]["blocks"]
    assert [block["title"] for block in blocks] == ["Warm-up", "Pieces"]
    assert [task["title"] for task in blocks[0]["tasks"]] == ["Long notes", "Scales"]
    assert (blocks[0]["tasks"][0]["minutes"], blocks[1]["tasks"][0]["due"]) == (7.5, "2027-05-12")
    assert list(ids_of(made)) == ["long", "scales", "lullaby"]
    again = send_csv(school.owner, PATH, table).json()
    assert (again["known"], [row["id"] for row in again["routines"]]) == (2, [row["id"] for row in rows])


def test_lines_become_routines(school: SchoolOfTest, students: dict[str, str]) -> None:
    document = exported(school, routine_of(SCALES, WALTZ))
    lines = [{"student_key": key, "key": "term", "document": document} for key in students]
    answer = send_ndjson(school.owner, PATH, as_ndjson(lines)).json()
    assert answer["made"] == 2
    for row in answer["routines"]:
        assert school.owner.get(f"/v1/routines/{row['id']}/export").json() == document
        entries = school.owner.get(f"/v1/students/{row['student']}/export").json()["trail"]
        assert "import_routines" in [entry["operation"] for entry in entries]


@pytest.mark.usefixtures("students")
def test_others_are_changed_where_that_is_asked_for(school: SchoolOfTest) -> None:
    send_csv(school.owner, PATH, as_csv(HEADER, ROWS))
    other = as_csv(HEADER, [*ROWS[:2], (*ROWS[2][:7], "12", "", ""), ROWS[3]])
    problem = problem_in(send_csv(school.owner, PATH, other), "invalid-input")
    assert places(problem) == [("/rows/2/routine_key", 4)]
    rows = send_csv(school.owner, f"{PATH}?update=true", other).json()["routines"]
    assert [(row["outcome"], row["revision"]) for row in rows] == [("known", 1), ("changed", 2)]
    where = f"/v1/routines/{rows[1]['id']}"
    made = school.owner.get(where).json()
    assert made["routine"]["blocks"][0]["tasks"][0]["minutes"] == 12
    # An archived routine stays as it is.
    body = {name: made[name] for name in ("instrument", "locale", "learner", "policy", "routine", "key")}
    school.owner.put(where, {**body, "archived": True}, revision=2)
    problem = problem_in(send_csv(school.owner, f"{PATH}?update=true", other), "invalid-input")
    assert pointers(problem) == ["/rows/2/routine_key"]


def test_every_wrong_row_is_told(school: SchoolOfTest, students: dict[str, str]) -> None:
    rows = [
        ("oboe-17", "a", "oboe", "Warm-up", "x", "Long notes", "tone", "7,5", "", ""),
        ("oboe-17", "b", "a thing", "Warm-up", "", "Long notes", "tune", "5", "", ""),
        ("nobody", "c", "", "Warm-up", "", "Long notes", "", "5", "12.5.2027", ""),
        ("nobody", "d", "", "Warm-up", "", "Long notes", "", "5", "", ""),
        ("horn-4", "e", "a thing", "Warm-up", "x", "Long notes", "", "5", "", ""),
        ("horn-4", "e", "horn", "Pieces", "x", "Lullaby", "", "5", "", ""),
        ("horn-4", "e", "a thing", "", "y", "Lullaby", "", "", "", ""),
    ]
    problem = problem_in(send_csv(school.owner, PATH, as_csv(HEADER, rows)), "invalid-input")
    assert places(problem) == [
        ("/rows/0/minutes", 2),
        ("/rows/1/area", 3),
        ("/rows/2/due", 4),
        ("/rows/3/student_key", 5),
        ("/rows/4/instrument", 6),
        ("/rows/4/task", 6),
        ("/rows/5/instrument", 7),
        ("/rows/5/task", 7),
        ("/rows/6/block", 8),
        ("/rows/6/minutes", 8),
    ]
    assert all(routines_of(school, student) == [] for student in students.values())


def test_every_wrong_line_is_told(school: SchoolOfTest, students: dict[str, str]) -> None:
    document = exported(school, routine_of(SCALES))
    limits = {**document, "learner": {"limits": {"widest_interval_semitones": 9}}}
    share = {**document, "policy": {"share": 0.8}}
    keys = {**document, "tasks": [{"key": "thirds", "pointer": "/routine/blocks/0/tasks/0"}]}
    lines: list[dict[str, Any]] = [
        {"student_key": "horn-4", "key": "a", "document": {**document, "instrument": "a thing"}},
        {"student_key": "horn-4", "key": "b", "document": limits},
        {"student_key": "horn-4", "key": "c", "document": share},
        {"student_key": "horn-4", "key": "d", "document": keys},
        {"student_key": "horn-4", "key": "e", "document": document},
        {"student_key": "horn-4", "key": "e", "document": document},
        {"student_key": "horn-4", "key": "f"},
    ]
    problem = problem_in(send_ndjson(school.owner, PATH, as_ndjson(lines)), "invalid-input")
    assert places(problem) == [
        ("/rows/0/document/instrument", 1),
        ("/rows/1/document/learner/limits/widest_interval_semitones", 2),
        ("/rows/2/document", 3),
        ("/rows/3/document/tasks/0/key", 4),
        ("/rows/5/key", 6),
        ("/rows/6/document", 7),
    ]
    assert "not short" in problem["errors"][2]["message"]
    assert routines_of(school, students["horn-4"]) == []


def test_exercises_are_those_that_are_loaded(catalogue_school: SchoolOfTest) -> None:
    school = catalogue_school
    school.student(key="piano-1")
    exercise = load_instruments().exercises[0]
    header = ("student_key", "routine_key", "block", "exercise", "minutes")
    rows = [
        ("piano-1", "a", "Technique", exercise.id, "5"),
        ("piano-1", "a", "Technique", "piano.nothing", "5"),
    ]
    problem = problem_in(send_csv(school.owner, PATH, as_csv(header, rows)), "invalid-input")
    assert places(problem) == [("/rows/1/exercise", 3)]
    assert send_csv(school.owner, PATH, as_csv(header, rows[:1])).json()["made"] == 1


def test_a_teacher_takes_in_for_own_students(school: SchoolOfTest, students: dict[str, str]) -> None:
    teacher_id, teacher = school.teacher()
    school.group([teacher_id], [students["oboe-17"]])
    problem = problem_in(send_csv(teacher, PATH, as_csv(HEADER, ROWS)), "invalid-input")
    assert places(problem) == [("/rows/2/student_key", 4)]
    # Somebody who is there and somebody who is not look alike.
    nobody = as_csv(HEADER, [("nobody", *ROWS[2][1:])])
    message = problem_in(send_csv(teacher, PATH, nobody), "invalid-input")["errors"][0]["message"]
    assert message == problem["errors"][0]["message"]
    assert send_csv(teacher, PATH, as_csv(HEADER, [ROWS[0], ROWS[1], ROWS[3]])).json()["made"] == 1
    student = school.let_in(student=students["horn-4"])
    assert send_csv(student, PATH, as_csv(HEADER, ROWS[2:3])).json()["made"] == 1


@pytest.mark.usefixtures("students")
def test_limits(school: SchoolOfTest) -> None:
    rows = [("oboe-17", f"r{number}", "", "Block", "", "Scales", "", "5", "", "") for number in range(1001)]
    problem = problem_in(send_csv(school.owner, PATH, as_csv(HEADER, rows)), "invalid-input")
    assert "1001 routines are too many" in problem["errors"][0]["message"]
    tasks = [("oboe-17", "r", "", "Block", "", "Scales", "", "5", "", "")] * 201
    problem = problem_in(send_csv(school.owner, PATH, as_csv(HEADER, tasks)), "invalid-input")
    assert places(problem) == [("/rows/0/block", 2)]
    document = json.dumps(exported(school, routine_of(SCALES)))
    line = f'{{"student_key": "oboe-17", "key": "x", "document": {document}}}\n'
    problem_in(send_ndjson(school.owner, PATH, line * 1001), "invalid-input")
