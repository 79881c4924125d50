"""The trail: who read or changed what is in it, with the change or soon after, and for whom it is."""

from typing import Any
from urllib.parse import quote
from uuid import uuid4

import pytest
from bagatelle_service.database.tables import AuditEntry

from tests.integration.problem_checks import pointers, problem_in
from tests.integration.school import SchoolOfTest
from tests.integration.whole_student import rows_of_tables, whole_student


def entries(school: SchoolOfTest, query: str = "") -> list[dict[str, Any]]:
    response = school.owner.get(f"/v1/trail?{query}")
    assert response.status_code == 200, response.text
    found: list[dict[str, Any]] = response.json()["entries"]
    return found


def operations(school: SchoolOfTest, query: str = "") -> list[str]:
    return [each["operation"] for each in entries(school, query)]


def test_what_was_just_read_is_in_it(school: SchoolOfTest) -> None:
    student = whole_student(school)
    assert operations(school, f"student={student.id}&operation=show_student") == ["show_student"]
    school.service.clock.go_on(seconds=1)
    student.teacher.get(student.path)
    found = entries(school, f"student={student.id}&operation=show_student")
    assert [each["actor_role"] for each in found] == ["guardian", "teacher"]
    assert found[1]["actor"] == str(student.teacher_pseudonym)
    assert found[1]["subject"] == str(student.pseudonym)


def test_what_somebody_reads_of_themselves_is_not(school: SchoolOfTest) -> None:
    student = whole_student(school)
    before = len(rows_of_tables(school)["audit_entry"])
    for path in (student.path, student.path + "/export", "/v1/students", "/v1/tokens"):
        assert student.own.get(path).status_code == 200
    entries(school)
    assert len(rows_of_tables(school)["audit_entry"]) == before


def test_filters(school: SchoolOfTest) -> None:
    student, other = whole_student(school), whole_student(school, "medlar")
    clock = school.service.clock
    clock.go_on(days=1)
    moment = clock()
    student.teacher.get(student.path)
    entries(school)
    staff = next(
        row["id"] for row in rows_of_tables(school)["staff"] if row["pseudonym"] == student.teacher_pseudonym
    )
    by_actor = entries(school, f"actor={student.teacher_pseudonym}")
    assert [each["operation"] for each in by_actor] == ["show_routine", "show_student"]
    assert entries(school, f"staff={staff}") == by_actor
    by_subject = entries(school, f"subject={student.pseudonym}")
    clock.go_on(minutes=1)
    # The same, and later who has asked for this student's part of the trail.
    assert entries(school, f"student={student.id}")[: len(by_subject)] == by_subject
    assert {each["subject"] for each in by_subject} == {str(student.pseudonym)}
    assert set(operations(school, "operation=make_student")) == {"make_student"}
    assert operations(school, f"student={uuid4()}") == operations(school, f"staff={uuid4()}") == []
    after, before = (quote(f"{name}={moment.isoformat()}", safe="=") for name in ("after", "before"))
    since = operations(school, f"{after}&subject={student.pseudonym}")
    assert (since.count("show_student"), set(since)) == (1, {"show_student", "list_trail"})
    assert {each["created_at"] < moment.isoformat() for each in entries(school, before)} == {True}
    assert str(other.pseudonym) in {each["subject"] for each in entries(school, before)}


@pytest.mark.parametrize(
    ("query", "name"),
    [
        ("after=2027-03-01", "after"),
        ("after=2027-03-01T08:00:00", "after"),
        ("before=0001-01-01T00:00:00%2B14:00", "before"),
        ("actor=x", "actor"),
        ("operation=X", "operation"),
        ("name=Ilse", "name"),
    ],
)
def test_wrong_filters_are_named(school: SchoolOfTest, query: str, name: str) -> None:
    problem = problem_in(school.owner.get(f"/v1/trail?{query}"), "invalid-input")
    assert pointers(problem) == [f"/{name}"]


def test_pages_hold_every_entry_once(school: SchoolOfTest) -> None:
    for number in range(6):
        school.student(key=f"k{number}")
    expected = [each["id"] for each in entries(school, "operation=make_student")]
    found: list[str] = []
    query = "limit=4&operation=make_student"
    while query:
        page = school.owner.get(f"/v1/trail?{query}").json()
        found += [each["id"] for each in page["entries"]]
        query = f"limit=4&operation=make_student&cursor={page['next']}" if page["next"] else ""
    assert found == expected
    assert len(found) == 6


def test_for_whom_it_is(school: SchoolOfTest) -> None:
    student = whole_student(school)
    for who in (student.own, student.guardian, student.teacher, school.app("students.read")):
        problem_in(who.get("/v1/trail"), "not-allowed")
    assert school.app("trail.read").get("/v1/trail").status_code == 200
    other = school.service.school("Another")
    assert student.pseudonym not in {each["subject"] for each in entries(other)}
    assert entries(other, f"student={student.id}") == []


def test_a_change_that_fails_leaves_no_entry(school: SchoolOfTest) -> None:
    student, other = school.student(key="a"), school.student(key="b")
    path = f"/v1/students/{student['id']}"
    before = len(entries(school, "operation=change_student"))
    body = {"display_name": "Ilse", "time_zone": "UTC", "key": "b"}
    problem_in(school.owner.put(path, body, revision=1), "taken")
    problem_in(school.owner.put(path, {**body, "key": "c"}, revision=7), "changed-meanwhile")
    problem_in(school.owner.post("/v1/students", body), "taken")
    assert len(entries(school, "operation=change_student")) == before
    assert len(entries(school, "operation=make_student")) == 2
    assert other["key"] == "b"


def test_a_change_whose_entry_fails_is_not_made(
    school: SchoolOfTest, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One transaction: without the entry there is no change either."""
    student = school.student()
    path = f"/v1/students/{student['id']}"
    # The trail refuses a row without an operation.
    monkeypatch.setattr(
        "bagatelle_service.school.work.AuditEntry", lambda **of: AuditEntry(**of | {"operation": None})
    )
    body = {"display_name": "Changed", "time_zone": "UTC"}
    assert school.owner.put(path, body, revision=1).status_code == 409
    monkeypatch.undo()
    assert school.owner.get(path).json() == student


def test_what_waits_when_a_student_is_erased_is_cut(school: SchoolOfTest) -> None:
    student = whole_student(school)
    assert student.teacher.get(student.path).status_code == 200  # waits
    assert student.guardian.get(student.path).status_code == 200  # waits
    assert school.owner.delete(student.path, headers={"If-Match": "*"}).status_code == 204
    found = entries(school, "operation=show_student")
    assert [(each["actor_role"], each["subject"]) for each in found] == [("teacher", None)]
