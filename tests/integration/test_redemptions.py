"""Codes of invitations over the API: each becomes a token, once."""

from typing import Any
from uuid import UUID

import httpx
import pytest
from bagatelle_service.database.tables import AuditEntry, Student
from sqlalchemy import select

from tests.integration.problem_checks import pointers, problem_in
from tests.integration.school import As, SchoolOfTest, service_on

PATH = "/v1/invitations/redemptions"


def test_a_code_becomes_the_members_token(school: SchoolOfTest) -> None:
    student = school.student()["id"]
    response = school.service.redeem(school.invite(student=student))
    assert response.status_code == 201
    made = response.json()
    assert (made["school"], made["role"], made["member"]) == (school.id, "student", student)
    assert response.headers["location"] == f"/v1/tokens/{made['token']['id']}"
    caller = As(school.service.api, made["secret"])
    assert caller.get(response.headers["location"]).json()["id"] == made["token"]["id"]
    assert [one["id"] for one in caller.get("/v1/students").json()["students"]] == [student]


@pytest.mark.parametrize("role", ["teacher", "owner"])
def test_staff_are_let_in_as_what_they_are(school: SchoolOfTest, role: str) -> None:
    member = school.staff(role)["id"]
    made = school.service.redeem(school.invite(staff=member)).json()
    assert (made["role"], made["member"], made["token"]["staff"]) == (role, member, member)
    assert ("staff.change" in made["token"]["scopes"]) == (role == "owner")


def test_a_guardian_is_let_in(school: SchoolOfTest) -> None:
    guardian = school.guardian(school.student()["id"])["id"]
    made = school.service.redeem(school.invite(guardian=guardian)).json()
    assert (made["role"], made["member"], made["token"]["guardian"]) == ("guardian", guardian, guardian)


@pytest.mark.parametrize("role", ["student", "guardian"])
def test_the_trail_names_the_student_alone(school: SchoolOfTest, role: str) -> None:
    student = school.student()["id"]
    member = student if role == "student" else school.guardian(student)["id"]
    school.let_in(**{role: member})
    (entry,) = _entries(school, "redeem_code")
    assert entry == (role, True)


def test_a_code_is_read_forgivingly(school: SchoolOfTest) -> None:
    code = school.invite(student=school.student()["id"])
    typed = " " + code.lower().replace("-", " ").replace("0", "o").replace("1", "l") + "\t"
    assert school.service.redeem(typed).status_code == 201


def test_a_code_is_used_once(school: SchoolOfTest) -> None:
    code = school.invite(student=school.student()["id"])
    assert school.service.redeem(code).status_code == 201
    problem_in(school.service.redeem(code), "spent")


def test_of_many_at_once_one_comes_first(school: SchoolOfTest) -> None:
    code = school.invite(student=school.student()["id"])
    answers = school.service.api.send_all([("POST", PATH, {"json": {"code": code}}) for _ in range(12)])
    assert sorted(answer.status_code for answer in answers) == [201] + [410] * 11
    assert len(school.owner.get("/v1/tokens").json()["tokens"]) == 2


def test_an_expired_code(school: SchoolOfTest) -> None:
    codes = [school.invite(student=school.student(f"Student {number}")["id"]) for number in range(2)]
    school.service.clock.go_on(days=14, seconds=-1)
    assert school.service.redeem(codes[0]).status_code == 201
    school.service.clock.go_on(seconds=1)
    problem_in(school.service.redeem(codes[1]), "spent")


def test_archived_students_and_schools_let_in_nobody(school: SchoolOfTest) -> None:
    student = school.student()["id"]
    codes = [school.invite(student=student), school.invite(student=school.student("Otto")["id"])]
    body = {"display_name": "Ilse", "time_zone": "UTC", "archived": True}
    assert school.owner.put(f"/v1/students/{student}", body, revision=1).status_code == 200
    problem_in(school.service.redeem(codes[0]), "spent")
    closed = {"name": "Closed", "archived": True}
    path = f"/v1/schools/{school.id}"
    assert school.service.operator.put(path, closed, revision=1).status_code == 200
    problem_in(school.service.redeem(codes[1]), "spent")
    assert school.service.operator.put(path, {"name": "Open"}, revision=2).status_code == 200
    assert school.service.redeem(codes[1]).status_code == 201


@pytest.mark.parametrize("code", ["00000-00000-00000-00000", "x", "-", "\u00e9\u2028\U0001f3ba"])
def test_an_unknown_code(school: SchoolOfTest, code: str) -> None:
    problem = problem_in(school.service.redeem(code), "unknown-id")
    assert problem["detail"] == "There is no invitation of that code."


@pytest.mark.parametrize(
    "body", [{}, {"code": ""}, {"code": 5}, {"code": "x" * 65}, {"code": "x", "as": "me"}]
)
def test_what_is_wrong_is_named(school: SchoolOfTest, body: dict[str, object]) -> None:
    pointer = "/as" if "as" in body else "/code"
    problem = problem_in(school.service.api.post(PATH, json=body), "invalid-input")
    assert pointers(problem) == [pointer]


def test_the_same_request_twice_gets_the_same_token(school: SchoolOfTest) -> None:
    code = school.invite(student=school.student()["id"])
    headers = {"Idempotency-Key": "first"}
    one, two = (school.service.redeem(code, headers=headers) for _ in range(2))
    assert (one.status_code, one.content) == (201, two.content)
    assert one.headers["location"] == two.headers["location"]
    problem_in(school.service.redeem(code, headers={"Idempotency-Key": "second"}), "spent")
    problem_in(school.service.redeem(code.lower(), headers=headers), "key-reused")
    school.service.clock.go_on(hours=25)
    problem_in(school.service.redeem(code, headers=headers), "spent")


def test_the_same_request_at_the_same_time_gets_the_same_token(school: SchoolOfTest) -> None:
    code = school.invite(student=school.student()["id"])
    options = {"json": {"code": code}, "headers": {"Idempotency-Key": "at-once"}}
    answers = school.service.api.send_all([("POST", PATH, options) for _ in range(8)])
    assert {answer.status_code for answer in answers} == {201}
    assert len({answer.content for answer in answers}) == 1


def test_one_key_with_two_codes_is_two_requests(school: SchoolOfTest) -> None:
    headers = {"Idempotency-Key": "1"}
    members = [school.student(f"Student {number}")["id"] for number in range(2)]
    made = [school.service.redeem(school.invite(student=one), headers=headers).json() for one in members]
    assert [one["member"] for one in made] == members


def test_a_token_shown_beside_a_code_is_not_asked_for(school: SchoolOfTest) -> None:
    code = school.invite(student=school.student()["id"])
    made = As(school.service.api, "bagatelle_unknown").post(PATH, {"code": code})
    assert (made.status_code, made.json()["role"]) == (201, "student")


def test_guesses_are_limited_for_all_together(any_database_url: str) -> None:
    with service_on(any_database_url, redemptions_a_minute=5) as service:
        school = service.school()
        code = school.invite(student=school.student()["id"])
        for number in range(5):
            problem_in(service.redeem(f"guess {number}"), "unknown-id")
        refused = service.redeem(code)
        assert "All callers together" in problem_in(refused, "too-many-requests")["detail"]
        assert refused.headers["retry-after"] == "60"
        assert school.owner.get("/v1/students").status_code == 200
        service.clock.go_on(minutes=1)
        assert service.redeem(code).status_code == 201


def test_two_processes_share_the_limit_and_the_codes(any_database_url: str) -> None:
    """Two applications with connections of their own, as two processes have them."""
    with service_on(any_database_url, redemptions_a_minute=40) as one:
        school = one.school()
        code = school.invite(student=school.student()["id"])
        with service_on(any_database_url, redemptions_a_minute=40) as two:
            answers: list[httpx.Response] = [service.redeem(code) for service in (one, two)]
            assert sorted(answer.status_code for answer in answers) == [201, 410]
            for number in range(30):
                one.redeem(f"guess {number}")
                two.redeem(f"guess {number}")
            statuses = {service.redeem("another guess").status_code for service in (one, two)}
            assert statuses == {429}


def _entries(school: SchoolOfTest, operation: str) -> list[tuple[str, bool]]:
    """List who did an operation, and whether it was about the school's one student."""

    async def read() -> list[tuple[str, bool]]:
        async with school.service.api.storage.read(UUID(school.id)) as session:
            pseudonym = (await session.scalars(select(Student.pseudonym))).one()
            found = await session.scalars(select(AuditEntry).where(AuditEntry.operation == operation))
            return [(entry.actor_role, entry.subject == pseudonym) for entry in found]

    return school.service.api.run(read())


def test_an_erasure_and_redemptions_do_not_wait_for_each_other(school: SchoolOfTest) -> None:
    student = school.student()["id"]
    guardians = [school.guardian(student)["id"] for _ in range(3)]
    codes = [school.invite(student=student) for _ in range(3)]
    codes += [school.invite(guardian=guardian) for guardian in guardians]
    requests: list[tuple[str, str, dict[str, Any]]] = [
        ("POST", PATH, {"json": {"code": code}, "headers": {"Idempotency-Key": code}}) for code in codes
    ]
    headers = {"Authorization": f"Bearer {school.owner.secret}", "If-Match": "*"}
    requests.insert(3, ("DELETE", f"/v1/students/{student}", {"headers": headers}))
    answers = school.service.api.send_all(requests)
    assert answers.pop(3).status_code == 204
    assert {answer.status_code for answer in answers} <= {201, 404, 410}
    made = [answer.json()["secret"] for answer in answers if answer.status_code == 201]
    for secret in made:
        problem_in(As(school.service.api, secret).get("/v1/caller"), "no-token")
