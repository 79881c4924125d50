"""Entries of a log, one by one: stored once, corrected, removed for good, listed; and whom they are for."""

import datetime as dt
from typing import Any
from uuid import UUID, uuid4

import pytest
from bagatelle_service.database.tables import LogEntry
from sqlalchemy import select

from tests.integration.problem_checks import pointers, problem_in
from tests.integration.school import SchoolOfTest

TODAY = "2027-03-01"
FREE = {"day": TODAY, "kind": "free", "area": "improvisation", "seconds": 900}


@pytest.fixture
def logs(school: SchoolOfTest) -> str:
    return f"/v1/students/{school.student()['id']}/logs"


def one(logs: str) -> str:
    return f"{logs}/{uuid4()}"


def stored(school: SchoolOfTest, where: str) -> LogEntry:
    async def read() -> LogEntry:
        async with school.service.api.storage.read(UUID(school.id)) as session:
            return await session.get_one(LogEntry, (UUID(school.id), UUID(where.rpartition("/")[2])))

    return school.service.api.run(read())


def test_an_entry_is_stored_once(school: SchoolOfTest, logs: str) -> None:
    where = one(logs)
    first = school.owner.put(where, FREE)
    assert first.status_code == 201, first.text
    assert (first.headers["etag"], first.headers["location"]) == ('"1"', where)
    made = first.json()
    assert made["id"] == where.rpartition("/")[2]
    assert {name: made[name] for name in FREE} == FREE
    assert (made["task"], made["step"], made["units"], made["done_when_met"]) == (None, None, [], None)
    again = school.owner.put(where, FREE)
    assert (again.status_code, again.json(), again.headers["etag"]) == (200, made, '"1"')
    shown = school.owner.get(where)
    assert (shown.json(), shown.headers["etag"]) == (made, '"1"')
    assert school.owner.get(where, headers={"If-None-Match": '"1"'}).status_code == 304
    assert [entry["id"] for entry in school.owner.get(logs).json()["entries"]] == [made["id"]]


def test_a_correction_names_what_it_corrects(school: SchoolOfTest, logs: str) -> None:
    where, other = one(logs), {**FREE, "seconds": 600}
    school.owner.put(where, FREE)
    problem_in(school.owner.put(where, other), "if-match-needed")
    problem_in(school.owner.put(where, other, revision=2), "changed-meanwhile")
    corrected = school.owner.put(where, other, revision=1)
    assert (corrected.status_code, corrected.json()["seconds"]) == (200, 600)
    assert corrected.headers["etag"] == '"2"'
    # The same correction again: its answer may have been lost.
    assert school.owner.put(where, other, revision=1).json() == corrected.json()
    # What was first sent, late: it takes nothing back unasked.
    problem_in(school.owner.put(where, FREE), "if-match-needed")
    assert school.owner.get(where).json() == corrected.json()
    assert school.owner.put(where, FREE, headers={"If-Match": "*"}).json()["revision"] == 3


def test_a_correction_of_nothing_is_refused(school: SchoolOfTest, logs: str) -> None:
    """RFC 9110, 13.1.1: `*` is false where there is no such thing."""
    where = one(logs)
    problem_in(school.owner.put(where, FREE, headers={"If-Match": "*"}), "changed-meanwhile")
    problem_in(school.owner.put(where, FREE, revision=1), "changed-meanwhile")
    problem_in(school.owner.get(where), "unknown-id")
    problem_in(school.owner.delete(where, headers={"If-Match": "*"}), "unknown-id")


def test_what_was_removed_does_not_come_back(school: SchoolOfTest, logs: str) -> None:
    where = one(logs)
    school.owner.put(where, FREE)
    problem_in(school.owner.delete(where), "if-match-needed")
    problem_in(school.owner.delete(where, headers={"If-Match": '"2"'}), "changed-meanwhile")
    assert school.owner.delete(where, headers={"If-Match": '"1"'}).status_code == 204
    for response in (
        school.owner.get(where),
        school.owner.put(where, FREE),
        school.owner.put(where, {**FREE, "seconds": 1}, headers={"If-Match": "*"}),
        school.owner.delete(where, headers={"If-Match": "*"}),
    ):
        problem_in(response, "removed")
    batch = {"entries": [{**FREE, "id": where.rpartition("/")[2]}]}
    assert school.owner.make(logs, batch) == {"stored": 0, "known": 0, "removed": 1}
    assert school.owner.get(logs).json()["entries"] == []
    row = stored(school, where)
    left = (row.kind, row.seconds, row.area, row.units, row.fingerprint, row.removed_at)
    assert left == ("removed", 0, None, "[]", None, school.service.clock())


REFUSED: list[tuple[dict[str, Any], list[str]]] = [
    ({"day": None}, ["/day"]),
    ({"done_at": "2027-03-01T08:00:00Z"}, ["/day"]),
    ({"day": "2027-03-02"}, ["/day"]),
    ({"day": "2025-02-28"}, ["/day"]),
    ({"day": None, "done_at": "2025-02-28T12:00:00+01:00"}, ["/done_at"]),
    ({"day": None, "done_at": "0001-01-01T00:00:00+14:00"}, ["/done_at"]),
    ({"day": None, "done_at": "9999-12-31T23:59:59-12:00"}, ["/done_at"]),
    ({"day": None, "done_at": "2027-03-01T08:00:00"}, ["/done_at"]),
    ({"step": "x", "task": str(uuid4()), "area": None}, ["/kind", "/step", "/task"]),
    ({"task": str(uuid4())}, ["/area", "/task"]),
    ({"units": ["a", "a"]}, ["/units", "/units/1"]),
    ({"seconds": 0}, ["/seconds"]),
    ({"seconds": 86_401}, ["/seconds"]),
    ({"seconds": 1.5, "kind": "long", "area": "gym", "note": "x"}, ["/area", "/kind", "/note", "/seconds"]),
]


def test_what_is_refused(school: SchoolOfTest, logs: str) -> None:
    for changes, wrong in REFUSED:
        problem = problem_in(school.owner.put(one(logs), {**FREE, **changes}), "invalid-input")
        assert pointers(problem) == wrong
        assert all(error["accepted"] for error in problem["errors"])
    assert school.owner.get(logs).json()["entries"] == []


def test_how_far_back(school: SchoolOfTest, logs: str) -> None:
    """Two years, of 365 days each; less where the school keeps logs for less."""
    oldest = dt.date.fromisoformat(TODAY) - dt.timedelta(days=730)
    assert school.owner.put(one(logs), {**FREE, "day": oldest.isoformat()}).status_code == 201
    body = {"name": "School", "retention_days": 90}
    assert school.owner.put(f"/v1/schools/{school.id}", body, headers={"If-Match": "*"}).status_code == 200
    problem = problem_in(school.owner.put(one(logs), {**FREE, "day": "2026-11-30"}), "invalid-input")
    assert "from 2026-12-01" in problem["errors"][0]["accepted"]
    assert school.owner.put(one(logs), {**FREE, "day": "2026-12-01"}).status_code == 201


def test_filters_and_pages(school: SchoolOfTest, logs: str) -> None:
    ids = sorted(str(uuid4()) for _ in range(3))
    days = {ids[0]: "2027-02-27", ids[1]: "2027-02-20", ids[2]: "2027-02-27"}
    kinds = dict(zip(ids, ("free", "short", "usual"), strict=True))
    for entry_id in reversed(ids):
        entry = {**FREE, "day": days[entry_id], "kind": kinds[entry_id]}
        assert school.owner.put(f"{logs}/{entry_id}", entry).status_code == 201

    def listed(query: str) -> list[str]:
        found, cursor = [], ""
        while True:
            page = school.owner.get(f"{logs}?limit=1{query}{cursor}").json()
            found += [entry["id"] for entry in page["entries"]]
            if page["next"] is None:
                return found
            cursor = f"&cursor={page['next']}"

    assert listed("") == [ids[1], ids[0], ids[2]]
    assert listed("&from=2027-02-21") == [ids[0], ids[2]]
    assert listed("&to=2027-02-20") == [ids[1]]
    assert listed("&from=2027-02-20&to=2027-02-26") == [ids[1]]
    assert listed("&kind=usual") == [ids[2]]
    assert listed(f"&task={uuid4()}") == []
    problem = problem_in(school.owner.get(f"{logs}?from=march&since=2027-03-01"), "invalid-input")
    assert pointers(problem) == ["/since", "/from"]


def test_for_whom_it_is(school: SchoolOfTest, logs: str) -> None:
    student_id = logs.split("/")[3]
    teacher_id, teacher = school.teacher()
    _, stranger = school.teacher()
    school.group([teacher_id], [student_id])
    other = school.student("Other")["id"]
    guardian = school.let_in(guardian=school.guardian(student_id)["id"])
    where = one(logs)
    for somebody in (teacher, school.let_in(student=student_id), school.app("practice.change")):
        assert somebody.put(where, FREE).status_code in (200, 201)
    for somebody in (teacher, guardian, school.let_in(student=student_id), school.app("practice.read")):
        assert somebody.get(where).status_code == somebody.get(logs).status_code == 200
    problem_in(guardian.put(where, FREE), "not-allowed")
    problem_in(school.app("practice.read").post(logs, {"entries": []}), "not-allowed")
    problem_in(school.app("practice.change").get(where), "not-allowed")
    for somebody in (stranger, school.let_in(student=other)):
        for response in (
            somebody.get(where),
            somebody.get(logs),
            somebody.put(where, FREE),
            somebody.delete(where, headers={"If-Match": "*"}),
            somebody.post(logs, {"entries": [{**FREE, "id": str(uuid4())}]}),
        ):
            problem_in(response, "not-allowed")


def test_another_schools_log_is_nowhere(school: SchoolOfTest, logs: str) -> None:
    other = school.service.school("Another")
    foreign = f"/v1/students/{other.student()['id']}/logs"
    where = one(foreign)
    other.owner.put(where, FREE)
    for response in (
        school.owner.get(foreign),
        school.owner.get(where),
        school.owner.put(where, FREE),
        school.owner.delete(where, headers={"If-Match": "*"}),
        school.owner.post(foreign, {"entries": [{**FREE, "id": str(uuid4())}]}),
    ):
        problem_in(response, "unknown-id")
    # Ids are each school's own: what one client made says nothing of another's.
    mine = f"{logs}/{where.rpartition('/')[2]}"
    problem_in(school.owner.get(mine), "unknown-id")
    assert school.owner.put(mine, {**FREE, "seconds": 5}).status_code == 201
    assert other.owner.get(where).json()["seconds"] == 900


def test_an_id_is_one_students(school: SchoolOfTest, logs: str) -> None:
    others = f"/v1/students/{school.student('Other')['id']}/logs"
    where = one(logs)
    school.owner.put(where, FREE)
    elsewhere = f"{others}/{where.rpartition('/')[2]}"
    problem_in(school.owner.get(elsewhere), "unknown-id")
    problem_in(school.owner.delete(elsewhere, headers={"If-Match": "*"}), "unknown-id")
    problem_in(school.owner.put(elsewhere, FREE), "taken")
    batch = {"entries": [{**FREE, "id": str(uuid4())}, {**FREE, "id": where.rpartition("/")[2]}]}
    assert pointers(problem_in(school.owner.post(others, batch), "stored-otherwise")) == ["/entries/1"]
    assert school.owner.get(others).json()["entries"] == []


def test_an_erased_students_log_is_gone(school: SchoolOfTest, logs: str) -> None:
    where = one(logs)
    school.owner.put(where, FREE)
    student = logs.removesuffix("/logs")
    exported = school.owner.get(f"{student}/export").json()["log_entries"]
    assert [entry["area"] for entry in exported] == ["improvisation"]
    assert school.owner.delete(student, headers={"If-Match": "*"}).status_code == 204
    problem_in(school.owner.get(where), "unknown-id")

    async def count() -> int:
        async with school.service.api.storage.read(UUID(school.id)) as session:
            return len((await session.scalars(select(LogEntry.id))).all())

    assert school.service.api.run(count()) == 0


def test_two_at_once(school: SchoolOfTest, logs: str) -> None:
    """Of the same entry sent six times at once one is stored, and all are answered alike."""
    where = one(logs)
    headers = {"Authorization": f"Bearer {school.owner.secret}"}
    answers = school.service.api.send_all(
        [("PUT", where, {"json": FREE, "headers": headers}) for _ in range(6)]
    )
    assert sorted(answer.status_code for answer in answers) == [200] * 5 + [201]
    assert len({answer.content for answer in answers}) == 1
    corrections = [
        ("PUT", where, {"json": {**FREE, "seconds": seconds}, "headers": {**headers, "If-Match": '"1"'}})
        for seconds in range(1, 7)
    ]
    answers = school.service.api.send_all(corrections)
    assert sorted(answer.status_code for answer in answers) == [200] + [412] * 5
    assert school.owner.get(where).json()["revision"] == 2
