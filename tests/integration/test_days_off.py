"""Days off: none until somebody says some; weekdays by ISO 8601's numbers, and stretches of days."""

from typing import Any
from uuid import UUID

import pytest
from bagatelle.model import progress
from bagatelle_service.database.tables import DaysOff
from bagatelle_service.school.days_off import read_days_off

from tests.integration.problem_checks import pointers, problem_in
from tests.integration.school import SchoolOfTest

JULY = {"first": "2027-07-12", "last": "2027-07-18"}
NONE: dict[str, Any] = {"weekdays": [], "spans": []}


@pytest.fixture
def path(school: SchoolOfTest) -> str:
    return f"/v1/students/{school.student()['id']}/days-off"


def test_there_are_none_at_first(school: SchoolOfTest, path: str) -> None:
    shown = school.owner.get(path)
    assert shown.json() == {**NONE, "student": path.split("/")[3], "revision": 0}
    assert shown.headers["etag"] == '"0"'
    problem_in(school.owner.put(path, NONE), "if-match-needed")
    problem_in(school.owner.put(path, NONE, revision=1), "changed-meanwhile")
    made = school.owner.put(path, {"weekdays": [7, 3], "spans": [JULY]}, revision=0)
    assert (made.status_code, made.headers["etag"]) == (200, '"1"')
    assert (made.json()["weekdays"], made.json()["spans"]) == ([3, 7], [JULY])
    assert school.owner.get(path).json() == made.json()
    assert school.owner.get(path, headers={"If-None-Match": '"1"'}).status_code == 304


def test_a_change_takes_all_of_them(school: SchoolOfTest, path: str) -> None:
    school.owner.put(path, {"weekdays": [7]}, headers={"If-Match": "*"})
    problem_in(school.owner.put(path, {"spans": [JULY]}, revision=0), "changed-meanwhile")
    easter = {"first": "2027-03-26", "last": "2027-03-26"}
    changed = school.owner.put(path, {"spans": [JULY, easter]}, revision=1).json()
    assert (changed["weekdays"], changed["spans"], changed["revision"]) == ([], [easter, JULY], 2)


def test_as_progress_reads_them(school: SchoolOfTest, path: str) -> None:
    school.owner.put(path, {"weekdays": [7], "spans": [JULY]}, revision=0)

    async def read() -> progress.DaysOff:
        async with school.service.api.storage.read(UUID(school.id)) as session:
            return read_days_off(await session.get(DaysOff, (UUID(school.id), UUID(path.split("/")[3]))))

    days_off = school.service.api.run(read())
    assert days_off.weekdays == (7,)
    assert [(str(span.first), str(span.last)) for span in days_off.spans] == [tuple(JULY.values())]
    assert read_days_off(None) == progress.DaysOff()


def test_what_is_refused(school: SchoolOfTest, path: str) -> None:
    backwards = {"first": "2027-07-12", "last": "2027-07-11"}
    for body, wrong in (
        ({"weekdays": [1, 2, 1], "spans": [JULY, backwards]}, ["/spans/1/last", "/weekdays/2"]),
        ({"weekdays": [0, 8, "Monday"]}, ["/weekdays/0", "/weekdays/1", "/weekdays/2"]),
        ({"spans": [{"first": "2027-02-30"}], "why": "ill"}, ["/spans/0/first", "/spans/0/last", "/why"]),
    ):
        problem = problem_in(school.owner.put(path, body, revision=0), "invalid-input")
        assert pointers(problem) == wrong
    assert school.owner.get(path).json()["revision"] == 0


def test_two_at_once(school: SchoolOfTest, path: str) -> None:
    headers = {"Authorization": f"Bearer {school.owner.secret}", "If-Match": '"0"'}
    answers = school.service.api.send_all(
        [("PUT", path, {"json": {"weekdays": [day]}, "headers": headers}) for day in range(1, 7)]
    )
    assert sorted(answer.status_code for answer in answers) == [200] + [412] * 5


def test_for_whom_they_are(school: SchoolOfTest, path: str) -> None:
    student_id = path.split("/")[3]
    guardian = school.let_in(guardian=school.guardian(student_id)["id"])
    student = school.let_in(student=student_id)
    _, stranger = school.teacher()
    assert student.put(path, {"weekdays": [7]}, revision=0).status_code == 200
    assert guardian.get(path).json()["weekdays"] == [7]
    problem_in(guardian.put(path, NONE, revision=1), "not-allowed")
    for response in (stranger.get(path), stranger.put(path, NONE, revision=1)):
        problem_in(response, "not-allowed")
    another = school.service.school("Another").owner
    for response in (another.get(path), another.put(path, NONE, revision=1)):
        problem_in(response, "unknown-id")
