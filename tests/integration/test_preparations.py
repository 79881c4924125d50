"""Plans prepared for many in one streamed answer: whole, narrowed, gone on with, and stopped in the middle."""

import asyncio
import json
from collections.abc import Iterator, Sequence
from typing import Any
from uuid import UUID

import pytest
from bagatelle import Instruments, load_instruments
from bagatelle.card.kinds import KINDS
from bagatelle_service.database.tables import AuditEntry, PreparedPlan
from bagatelle_service.school import set_preparation
from bagatelle_service.school.errors import MissingError
from bagatelle_service.school.set_making import SetMade, SetOutcome
from bagatelle_service.school.work import Work
from sqlalchemy import select

from tests.integration.log_scan import current_scan
from tests.integration.problem_checks import problem_in
from tests.integration.school import As, SchoolOfTest, Service, service_on
from tests.unit.catalogue.sample_plugins import SamplePlugin, point

ROUTINE = {"routine": {"blocks": [{"title": "Polka", "area": "repertoire", "minutes": 20}]}}
OTHER = {"routine": {"blocks": [{"title": "Long notes", "area": "tone", "minutes": 10}]}}
HUMMING = {
    "instrument": "kazoo",
    "routine": {"blocks": [{"title": "Humming", "tasks": [{"exercise": "kazoo.hum", "minutes": 9}]}]},
}
NOTHING = {
    "routine": {"blocks": [{"title": "Polka", "tasks": [{"title": "Polka", "minutes": 9, "pin": "never"}]}]}
}


@pytest.fixture
def service(any_database_url: str) -> Iterator[Service]:
    with service_on(any_database_url) as service:
        yield service


@pytest.fixture
def school(service: Service) -> SchoolOfTest:
    return service.school()


def with_routine(school: SchoolOfTest, *bodies: dict[str, Any]) -> str:
    student_id: str = school.student()["id"]
    for body in bodies:
        school.owner.make(f"/v1/students/{student_id}/routines", body)
    return student_id


def lines_of(caller: As, **body: Any) -> tuple[list[dict[str, Any]], dict[str, Any]]:
    """The lines of routines, and the last with the sums."""
    response = caller.post("/v1/preparations", body)
    assert response.status_code == 200, response.text
    assert response.headers["content-type"] == "application/x-ndjson"
    lines = [json.loads(line) for line in response.text.splitlines()]
    current_scan().register_members(lines)
    assert [line["line"] for line in lines] == ["routine"] * (len(lines) - 1) + ["sum"]
    return lines[:-1], lines[-1]


def counts(sums: dict[str, Any]) -> tuple[int, ...]:
    return tuple(sums[name] for name in ("students", "routines", "changed", "same", "problems"))


def plans_in(school: SchoolOfTest) -> dict[UUID, int]:
    """How many plans each student has."""

    async def read() -> dict[UUID, int]:
        found: dict[UUID, int] = {}
        async with school.service.api.storage.read(UUID(school.id)) as session:
            for student_id in await session.scalars(select(PreparedPlan.student_id)):
                found[student_id] = found.get(student_id, 0) + 1
        return found

    return school.service.api.run(read())


def test_everybody_has_a_line(school: SchoolOfTest) -> None:
    students = [with_routine(school, ROUTINE), with_routine(school, ROUTINE, OTHER), with_routine(school)]
    lines, sums = lines_of(school.owner)
    assert sorted(line["student"] for line in lines) == sorted([students[0], *[students[1]] * 2])
    assert all([plan["change"] for plan in line["plans"]] == ["new"] * len(KINDS) for line in lines)
    assert counts(sums) == (3, 3, 3, 0, 0)
    assert sums["dry_run"] is False
    assert plans_in(school) == {UUID(students[0]): len(KINDS), UUID(students[1]): 2 * len(KINDS)}
    # Each line says what the routine's own operation says.
    listed = school.owner.get(f"/v1/routines/{lines[0]['routine']}/plans").json()["plans"]
    assert {plan["id"] for plan in listed} == {plan["plan"] for plan in lines[0]["plans"]}


def test_only_what_is_missing_or_outdated(school: SchoolOfTest) -> None:
    first = with_routine(school, ROUTINE)
    assert counts(lines_of(school.owner)[1]) == (1, 1, 1, 0, 0)
    second = with_routine(school, ROUTINE)
    routine = school.owner.get(f"/v1/students/{first}/routines").json()["routines"][0]
    assert school.owner.put(f"/v1/routines/{routine['id']}", OTHER, revision=1).status_code == 200
    (line,), sums = lines_of(school.owner, only="missing", dry_run=True)
    assert (line["student"], counts(sums)) == (second, (2, 1, 1, 0, 0))
    assert sums["dry_run"] is True
    lines, _ = lines_of(school.owner, only="outdated", dry_run=True)
    assert {line["student"] for line in lines} == {first, second}
    assert plans_in(school) == {UUID(first): len(KINDS)}
    changed = next(line for line in lines if line["student"] == first)
    assert {plan["change"] for plan in changed["plans"]} == {"changed"}
    assert all(plan["differences"] for plan in changed["plans"])
    lines_of(school.owner)
    assert lines_of(school.owner)[0] == []
    assert counts(lines_of(school.owner, only="all")[1]) == (2, 2, 0, 2, 0)


def test_one_students_problem_stops_nobody(any_database_url: str) -> None:
    kazoo = load_instruments(entry_points=[point(SamplePlugin())])
    with service_on(any_database_url, instruments=kazoo) as service:
        school = service.school()
        humming, polka = with_routine(school, HUMMING), with_routine(school, ROUTINE)
        nothing = with_routine(school, ROUTINE)
        routine = school.owner.get(f"/v1/students/{nothing}/routines").json()["routines"][0]
        assert school.owner.put(f"/v1/routines/{routine['id']}", NOTHING, revision=1).status_code == 200
    with service_on(any_database_url, instruments=Instruments.none()) as without:
        school.service, school.owner.api = without, without.api
        lines, sums = lines_of(school.owner)
        by_student = {line["student"]: line for line in lines}
        problem = by_student[humming]["problem"]
        assert problem["type"] == "urn:bagatelle:problem:invalid-input"
        assert "/instrument" in [error["pointer"] for error in problem["errors"]]
        assert by_student[polka]["problem"] is None
        assert [each["kind"] for each in by_student[nothing]["nothing_for"]] == list(KINDS)
        assert counts(sums) == (3, 3, 1, 1, 1)
        assert plans_in(school) == {UUID(polka): len(KINDS)}


def test_archived_students_and_routines_are_left_out(school: SchoolOfTest) -> None:
    student = school.student()
    school.owner.make(f"/v1/students/{student['id']}/routines", ROUTINE)
    body = {"display_name": student["display_name"], "time_zone": student["time_zone"], "archived": True}
    assert school.owner.put(f"/v1/students/{student['id']}", body, revision=1).status_code == 200
    other = with_routine(school, ROUTINE)
    routine = school.owner.get(f"/v1/students/{other}/routines").json()["routines"][0]
    put = school.owner.put(f"/v1/routines/{routine['id']}", {**ROUTINE, "archived": True}, revision=1)
    assert put.status_code == 200
    assert counts(lines_of(school.owner, only="all")[1]) == (1, 0, 0, 0, 0)


def test_everybody_prepares_for_whom_they_reach(school: SchoolOfTest) -> None:
    mine, others = with_routine(school, ROUTINE), with_routine(school, ROUTINE)
    teacher_id, teacher = school.teacher()
    group = school.group([teacher_id], [mine])
    not_theirs = school.group([], [others], name="Fridays")
    lines, sums = lines_of(teacher, dry_run=True)
    assert [line["student"] for line in lines] == [mine]
    assert counts(sums)[0] == 1
    assert [line["student"] for line in lines_of(school.owner, group=group["id"])[0]] == [mine]
    problem_in(teacher.post("/v1/preparations", {"group": not_theirs["id"]}), "not-allowed")
    missing = "00000000-0000-4000-8000-000000000000"
    problem_in(school.owner.post("/v1/preparations", {"group": missing}), "unknown-id")
    student = school.let_in(student=others)
    assert [line["student"] for line in lines_of(student)[0]] == [others]
    guardian = school.let_in(guardian=school.guardian(mine)["id"])
    problem_in(guardian.post("/v1/preparations", {}), "not-allowed")
    problem_in(school.app("practice.read").post("/v1/preparations", {}), "not-allowed")
    errors = problem_in(school.owner.post("/v1/preparations", {"only": "some"}), "invalid-input")["errors"]
    assert errors[0]["pointer"] == "/only"


def test_the_trail_has_one_entry(school: SchoolOfTest) -> None:
    for _ in range(3):
        with_routine(school, ROUTINE)
    lines_of(school.owner)

    async def entries() -> list[AuditEntry]:
        async with school.service.api.storage.read(UUID(school.id)) as session:
            of_it = select(AuditEntry).where(AuditEntry.operation == "prepare_many")
            return list(await session.scalars(of_it))

    (entry,) = school.service.api.run(entries())
    assert (entry.actor_role, entry.subject) == ("owner", None)


def test_it_takes_those_who_want_lines_alone(school: SchoolOfTest) -> None:
    wanted = {"headers": {"Accept": "application/json"}}
    problem_in(school.owner.post("/v1/preparations", {}, **wanted), "not-acceptable")
    taken = {"headers": {"Accept": "application/x-ndjson"}}
    assert school.owner.post("/v1/preparations", {}, **taken).status_code == 200
    assert school.owner.send("HEAD", "/v1/preparations").status_code == 405


STUDENTS = 20


@pytest.mark.parametrize("read", [1, 5])
def test_who_goes_away_leaves_whole_students(school: SchoolOfTest, read: int) -> None:
    """The client closes the connection after some lines; the same request again does the rest."""
    for _ in range(STUDENTS):
        with_routine(school, ROUTINE, OTHER)
    school.service.api.run(read_and_leave(school, read))
    there = plans_in(school)
    assert set(there.values()) <= {2 * len(KINDS)}
    assert len(there) < STUDENTS
    lines, _ = lines_of(school.owner, only="missing")
    assert len(lines) == 2 * (STUDENTS - len(there))
    assert list(plans_in(school).values()) == [2 * len(KINDS)] * STUDENTS


async def read_and_leave(school: SchoolOfTest, count: int) -> None:
    """Ask as a server would for a client that goes away after so many chunks."""
    left = asyncio.Event()
    asked = iter([{"type": "http.request", "body": b"{}", "more_body": False}])
    chunks: list[bytes] = []

    async def receive() -> dict[str, Any]:
        message = next(asked, None)
        if message is None:
            await left.wait()
            return {"type": "http.disconnect"}
        return message

    async def send(message: Any) -> None:
        if message["type"] == "http.response.body" and message["body"]:
            chunks.append(message["body"])
            if len(chunks) == count:
                left.set()
                await (
                    asyncio.Event().wait()
                )  # nobody takes any more, so the server waits here until it gives up

    headers = [
        (b"authorization", f"Bearer {school.owner.secret}".encode()),
        (b"content-type", b"application/json"),
    ]
    scope: Any = {
        "type": "http",
        "asgi": {"version": "3.0"},
        "http_version": "1.1",
        "method": "POST",
        "scheme": "http",
        "path": "/v1/preparations",
        "raw_path": b"/v1/preparations",
        "root_path": "",
        "query_string": b"",
        "headers": headers,
        "client": ("127.0.0.1", 1),
        "server": ("127.0.0.1", 80),
        "state": {},
    }
    app: Any = school.service.api.app
    await app(scope, receive, send)
    assert len(chunks) == count
    # What was begun goes on to its end.
    await asyncio.gather(*(asyncio.all_tasks() - {asyncio.current_task()}))


def test_who_cannot_be_stored_spoils_nobody_beside_them(
    school: SchoolOfTest, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Some are stored in one transaction; where one of them is gone meanwhile, the others are stored."""
    students = [with_routine(school, ROUTINE) for _ in range(3)]
    gone = students[1]
    real = set_preparation.store_sets
    tried: list[int] = []

    async def store(work: Work, made: Sequence[SetMade]) -> Sequence[SetOutcome]:
        tried.append(len(made))
        if UUID(gone) in {each.found.routine.student_id for each in made}:
            raise MissingError("student")
        return await real(work, made)

    monkeypatch.setattr(set_preparation, "store_sets", store)
    lines, sums = lines_of(school.owner)
    assert tried == [3, 1, 1, 1]
    assert counts(sums) == (3, 3, 2, 0, 1)
    problems = {line["student"]: line["problem"] for line in lines if line["problem"] is not None}
    assert {student: problem["type"] for student, problem in problems.items()} == {
        gone: "urn:bagatelle:problem:unknown-id"
    }
    assert plans_in(school) == {UUID(student): len(KINDS) for student in students if student != gone}


def test_erasing_and_preparing_at_once_wait_for_each_other(school: SchoolOfTest) -> None:
    """Both hold the student before the routines, so neither is ended by the database."""
    students = [with_routine(school, ROUTINE) for _ in range(6)]
    headers = {"Authorization": f"Bearer {school.owner.secret}"}
    answers = school.service.api.send_all(
        [
            ("POST", "/v1/preparations", {"json": {}, "headers": headers}),
            *(
                ("DELETE", f"/v1/students/{student}", {"headers": headers | {"If-Match": "*"}})
                for student in students[::2]
            ),
            ("POST", "/v1/preparations", {"json": {"only": "all"}, "headers": headers}),
        ]
    )
    assert [answer.status_code for answer in answers] == [200, 204, 204, 204, 200]
    lines = [json.loads(line) for answer in (answers[0], answers[-1]) for line in answer.text.splitlines()]
    current_scan().register_members(lines)
    problems = {line["problem"]["type"] for line in lines if line.get("problem") is not None}
    assert problems <= {"urn:bagatelle:problem:unknown-id"}
    assert plans_in(school) == {UUID(student): len(KINDS) for student in students[1::2]}
