"""Guardians over the API: linked to one student, whom they read, and removed with all that let them in."""

from uuid import UUID

from bagatelle_service.database.tables import Guardian, Identity, Invitation, Token
from sqlalchemy import func, select

from tests.integration.problem_checks import problem_in
from tests.integration.school import SchoolOfTest


def test_a_guardian_is_linked_shown_and_listed(school: SchoolOfTest) -> None:
    student = school.student()
    path = f"/v1/students/{student['id']}/guardians"
    response = school.owner.post(path, {"display_name": "Grandmother"})
    assert response.status_code == 201
    made = response.json()
    assert (made["student"], made["display_name"]) == (student["id"], "Grandmother")
    assert school.owner.get(response.headers["location"]).json() == made
    school.service.clock.go_on(seconds=1)
    nameless = school.owner.make(path, {})
    assert nameless["display_name"] is None
    assert school.owner.get(path).json() == {"guardians": [made, nameless], "next": None}
    page = school.owner.get(f"{path}?limit=1").json()
    assert page["guardians"] == [made]
    assert school.owner.get(f"{path}?limit=1&cursor={page['next']}").json()["guardians"] == [nameless]


def test_a_guardian_reads_one_student_and_their_own_link(school: SchoolOfTest) -> None:
    student, other = school.student(), school.student("Otto")
    one, two = school.guardian(student["id"]), school.guardian(student["id"])
    caller = school.let_in(guardian=one["id"])
    path = f"/v1/students/{student['id']}/guardians"
    assert [found["id"] for found in caller.get("/v1/students").json()["students"]] == [student["id"]]
    assert caller.get(path).json()["guardians"] == [one]
    assert caller.get(f"/v1/guardians/{one['id']}").json() == one
    for asked in (
        caller.get(f"/v1/guardians/{two['id']}"),
        caller.get(f"/v1/students/{other['id']}/guardians"),
        caller.get(f"/v1/students/{other['id']}"),
        caller.post(path, {}),
        caller.delete(f"/v1/guardians/{one['id']}"),
    ):
        problem_in(asked, "not-allowed")


def test_a_teacher_links_guardians_of_the_own_groups_students(school: SchoolOfTest) -> None:
    mine, other, teacher = school.student(), school.student("Otto"), school.staff()
    school.group([teacher["id"]], [mine["id"]])
    caller = school.let_in(staff=teacher["id"])
    guardian = caller.make(f"/v1/students/{mine['id']}/guardians", {})
    strange = school.guardian(other["id"])
    for asked in (
        caller.post(f"/v1/students/{other['id']}/guardians", {}),
        caller.get(f"/v1/students/{other['id']}/guardians"),
        caller.get(f"/v1/guardians/{strange['id']}"),
        caller.delete(f"/v1/guardians/{strange['id']}"),
    ):
        problem_in(asked, "not-allowed")
    assert caller.delete(f"/v1/guardians/{guardian['id']}").status_code == 204


def test_a_removed_guardian_leaves_nothing(school: SchoolOfTest) -> None:
    student = school.student()
    gone, stays = school.guardian(student["id"]), school.guardian(student["id"])
    caller, other = school.let_in(guardian=gone["id"]), school.let_in(guardian=stays["id"])
    code = school.invite(guardian=gone["id"])
    _tie(school, gone["id"])
    path = f"/v1/guardians/{gone['id']}"
    assert school.owner.delete(path).status_code == 204
    problem_in(school.owner.get(path), "unknown-id")
    problem_in(school.owner.delete(path), "unknown-id")
    problem_in(caller.get("/v1/students"), "no-token")
    problem_in(school.service.redeem(code), "unknown-id")
    assert _rows_of(school, gone["id"]) == [0, 0, 0, 0]
    assert _rows_of(school, stays["id"]) == [1, 1, 1, 0]
    assert other.get("/v1/students").status_code == 200


def test_another_schools_are_nowhere(school: SchoolOfTest) -> None:
    other = school.service.school("Another")
    student = other.student()
    guardian = other.guardian(student["id"])
    path = f"/v1/students/{student['id']}/guardians"
    for asked in (
        school.owner.get(path),
        school.owner.post(path, {}),
        school.owner.get(f"/v1/guardians/{guardian['id']}"),
        school.owner.delete(f"/v1/guardians/{guardian['id']}"),
    ):
        problem_in(asked, "unknown-id")
    assert other.owner.get(path).json()["guardians"] == [guardian]


def _tie(school: SchoolOfTest, guardian_id: str) -> None:
    async def store() -> None:
        async with school.service.api.storage.write(UUID(school.id)) as session:
            session.add(
                Identity(
                    school_id=UUID(school.id),
                    id=UUID(int=7),
                    hash=bytes(32),
                    staff_id=None,
                    student_id=None,
                    guardian_id=UUID(guardian_id),
                    created_at=school.service.clock(),
                )
            )

    school.service.api.run(store())


def _rows_of(school: SchoolOfTest, guardian_id: str) -> list[int]:
    """Count the rows of a guardian: the link, tokens, invitations, identities."""
    columns = (Guardian.id, Token.guardian_id, Invitation.guardian_id, Identity.guardian_id)

    async def count() -> list[int]:
        async with school.service.api.storage.read(UUID(school.id)) as session:
            statements = [
                select(func.count()).select_from(column.class_).where(column == UUID(guardian_id))
                for column in columns
            ]
            return [(await session.execute(statement)).scalar_one() for statement in statements]

    return school.service.api.run(count())


def test_who_no_longer_reaches_a_student_gets_no_kept_answer(school: SchoolOfTest) -> None:
    student, teacher = school.student()["id"], school.staff()["id"]
    body = {"name": "Tuesday", "teachers": [teacher], "students": [student]}
    group = school.owner.make("/v1/groups", body)["id"]
    asks = school.let_in(staff=teacher)
    key = {"Idempotency-Key": "once"}
    path = f"/v1/students/{student}/guardians"
    assert asks.post(path, {"display_name": "Aunt"}, headers=key).status_code == 201
    assert asks.post(path, {"display_name": "Aunt"}, headers=key).status_code == 201
    assert school.owner.put(f"/v1/groups/{group}", {"name": "Tuesday"}, revision=1).status_code == 200
    problem_in(asks.post(path, {"display_name": "Aunt"}, headers=key), "not-allowed")


def test_guardians_are_removed_and_untied_while_their_student_is_erased(school: SchoolOfTest) -> None:
    headers = {"Authorization": f"Bearer {school.owner.secret}", "If-Match": "*"}
    for number in range(3):
        student = school.student(f"Student {number}")["id"]
        guardians = [f"/v1/guardians/{school.guardian(student)['id']}" for _ in range(3)]
        for guardian in guardians:
            school.let_in(guardian=guardian.rpartition("/")[2])
        erased = f"/v1/students/{student}"
        untied = [f"{path}/identity" for path in (erased, *guardians)]
        paths = [untied[0], erased, *guardians, *untied[1:]]
        answers = school.service.api.send_all([("DELETE", path, {"headers": headers}) for path in paths])
        assert answers[1].status_code == 204
        assert {answer.status_code for answer in answers} <= {204, 404}
