"""Invitations over the API: made in bulk, listed, taken back."""

from datetime import timedelta
from typing import Any

import pytest
from bagatelle_service.school.roles import SCOPES_OF

from tests.integration.problem_checks import pointers, problem_in
from tests.integration.school import BEGINNING, As, SchoolOfTest

NOBODY = "5b0c6a9e-2f0d-4c0e-9a43-7d1f0f6c2b11"


def invite(who: As, *rows: dict[str, Any], **more: Any) -> Any:
    return who.post("/v1/invitations", {"invitations": rows, **more})


def test_a_class_is_invited_at_once(school: SchoolOfTest) -> None:
    students = [school.student(f"Student {number}")["id"] for number in range(3)]
    guardian, teacher = school.guardian(students[0])["id"], school.staff()["id"]
    rows: list[dict[str, Any]] = [{"student": one} for one in students]
    response = invite(school.owner, *rows, {"guardian": guardian}, {"staff": teacher})
    assert response.status_code == 201
    made = response.json()["invitations"]
    assert [one["invitation"]["student"] for one in made] == [*students, None, None]
    assert (made[3]["invitation"]["guardian"], made[4]["invitation"]["staff"]) == (guardian, teacher)
    assert {one["invitation"]["state"] for one in made} == {"open"}
    assert {one["invitation"]["expires_at"] for one in made} == {"2027-03-15T08:00:00Z"}
    assert len({one["code"] for one in made}) == 5
    listed = school.owner.get("/v1/invitations")
    assert {one["id"] for one in listed.json()["invitations"]} == {one["invitation"]["id"] for one in made}
    assert not any(one["code"] in listed.text for one in made)
    one = made[0]["invitation"]
    assert school.owner.get(f"/v1/invitations/{one['id']}").json() == one


def test_every_wrong_row_is_named_and_nothing_is_made(school: SchoolOfTest) -> None:
    student, gone = school.student()["id"], school.student("Gone")["id"]
    body = {"display_name": "Gone", "time_zone": "UTC", "archived": True}
    assert school.owner.put(f"/v1/students/{gone}", body, revision=1).status_code == 200
    strange = school.service.school("Another").student()["id"]
    response = invite(
        school.owner,
        {"student": student},
        {"student": NOBODY},
        {"staff": student},
        {},
        {"student": student, "guardian": NOBODY},
        {"student": student},
        {"student": gone},
        {"student": strange},
        expires_at="2027-03-01T07:59:59Z",
    )
    problem = problem_in(response, "invalid-input")
    assert [(wrong["pointer"], wrong["message"]) for wrong in problem["errors"]] == [
        ("/invitations/1/student", "the school has no student of this id"),
        ("/invitations/2/staff", "the school has no staff of this id"),
        ("/invitations/3", "names nobody"),
        ("/invitations/4", "names more than one"),
        ("/invitations/5/student", "invited by /invitations/0 already"),
        ("/invitations/6/student", "archived"),
        ("/invitations/7/student", "the school has no student of this id"),
        ("/expires_at", "past already"),
    ]
    assert school.owner.get("/v1/invitations").json()["invitations"] == []


@pytest.mark.parametrize(
    ("body", "pointer"),
    [
        ({}, "/invitations"),
        ({"invitations": []}, "/invitations"),
        ({"invitations": [{"student": NOBODY}] * 501}, "/invitations"),
        ({"invitations": [{"student": "Ilse"}]}, "/invitations/0/student"),
        ({"invitations": [{"student": NOBODY.upper()}]}, "/invitations/0/student"),
        ({"invitations": [{"student": NOBODY, "name": "Ilse"}]}, "/invitations/0/name"),
        ({"invitations": [{"student": NOBODY}], "expires_at": "soon"}, "/expires_at"),
    ],
)
def test_what_has_the_wrong_shape_is_named(school: SchoolOfTest, body: dict[str, Any], pointer: str) -> None:
    problem = problem_in(school.owner.post("/v1/invitations", body), "invalid-input")
    assert pointers(problem) == [pointer]


def test_how_long_a_code_may_live(school: SchoolOfTest) -> None:
    row = {"student": school.student()["id"]}
    longest = BEGINNING + timedelta(days=90)
    assert invite(school.owner, row, expires_at=longest.isoformat()).status_code == 201
    too_long = invite(school.owner, row, expires_at=(longest + timedelta(seconds=1)).isoformat())
    (wrong,) = problem_in(too_long, "invalid-input")["errors"]
    assert (wrong["pointer"], wrong["accepted"]) == ("/expires_at", "at most 90 days from now")
    (wrong,) = problem_in(invite(school.owner, row, expires_at="2027-03-02T08:00:00"), "invalid-input")[
        "errors"
    ]
    assert wrong["pointer"] == "/expires_at"


def test_five_hundred_at_once(school: SchoolOfTest) -> None:
    student = school.student()["id"]
    guardians = [school.guardian(student)["id"] for _ in range(500)]
    made = invite(school.owner, *({"guardian": one} for one in guardians)).json()["invitations"]
    assert [one["invitation"]["guardian"] for one in made] == guardians
    assert len({one["code"] for one in made}) == 500


def test_filters(school: SchoolOfTest) -> None:
    student, teacher = school.student()["id"], school.staff()["id"]
    guardian = school.guardian(student)["id"]
    rows = {"student": student, "guardian": guardian, "staff": teacher}
    short = invite(school.owner, {"student": student}, expires_at="2027-03-02T08:00:00Z").json()
    ids = {"expired": short["invitations"][0]["invitation"]["id"]}
    for kind, state in (("student", "open"), ("guardian", "revoked"), ("staff", "used")):
        (made,) = invite(school.owner, {kind: rows[kind]}).json()["invitations"]
        ids[state] = made["invitation"]["id"]
        if state == "used":
            assert school.service.redeem(made["code"]).status_code == 201
    assert school.owner.delete(f"/v1/invitations/{ids['revoked']}").status_code == 204
    school.service.clock.go_on(days=2)

    def found(query: str) -> set[str]:
        listed = school.owner.get(f"/v1/invitations?{query}").json()["invitations"]
        return {one["id"] for one in listed}

    for state, invitation_id in ids.items():
        assert found(f"state={state}") == {invitation_id}
        assert school.owner.get(f"/v1/invitations/{invitation_id}").json()["state"] == state
    assert found(f"student={student}") == {ids["open"], ids["expired"]}
    assert found(f"student={student}&state=open") == {ids["open"]}
    assert found(f"guardian={guardian}") == {ids["revoked"]}
    assert found(f"staff={teacher}") == {ids["used"]}
    assert found(f"staff={student}") == set()
    first = school.owner.get("/v1/invitations?limit=3").json()
    assert found(f"cursor={first['next']}") | {one["id"] for one in first["invitations"]} == set(ids.values())
    problem_in(school.owner.get("/v1/invitations?state=lost"), "invalid-input")


def test_what_is_taken_back_stays_so(school: SchoolOfTest) -> None:
    (made,) = invite(school.owner, {"student": school.student()["id"]}).json()["invitations"]
    path = f"/v1/invitations/{made['invitation']['id']}"
    assert [school.owner.delete(path).status_code for _ in range(2)] == [204, 204]
    assert school.owner.get(path).json()["revoked_at"] == "2027-03-01T08:00:00Z"
    problem_in(school.service.redeem(made["code"]), "spent")
    problem_in(school.owner.delete(f"/v1/invitations/{NOBODY}"), "unknown-id")


def test_what_was_used_cannot_be_taken_back(school: SchoolOfTest) -> None:
    (made,) = invite(school.owner, {"student": school.student()["id"]}).json()["invitations"]
    path = f"/v1/invitations/{made['invitation']['id']}"
    assert school.service.redeem(made["code"]).status_code == 201
    problem_in(school.owner.delete(path), "spent")
    assert school.owner.get(path).json()["state"] == "used"


def test_the_same_post_twice_makes_the_same_codes(school: SchoolOfTest) -> None:
    body = {"invitations": [{"student": school.student()["id"]}]}
    headers = {"Idempotency-Key": "class-of-march"}
    one, two = (school.owner.post("/v1/invitations", body, headers=headers) for _ in range(2))
    assert (one.status_code, one.content) == (201, two.content)
    assert len(school.owner.get("/v1/invitations").json()["invitations"]) == 1


def test_who_may(school: SchoolOfTest) -> None:
    student, teacher = school.student()["id"], school.staff()["id"]
    (made,) = invite(school.owner, {"student": student}).json()["invitations"]
    path = f"/v1/invitations/{made['invitation']['id']}"
    for caller in (school.let_in(staff=teacher), school.let_in(student=student), school.app("students.read")):
        problem_in(invite(caller, {"student": student}), "not-allowed")
        for asked in (caller.get("/v1/invitations"), caller.get(path), caller.delete(path)):
            problem_in(asked, "not-allowed")
    other = school.service.school("Another").owner
    for asked in (other.get(path), other.delete(path)):
        problem_in(asked, "unknown-id")
    assert other.get("/v1/invitations").json()["invitations"] == []


def test_a_token_lets_in_nobody_who_may_do_more(school: SchoolOfTest) -> None:
    """Else it could invite an owner, redeem the code itself, and be one."""
    (owner,) = school.owner.get("/v1/staff").json()["staff"]
    student = school.student()["id"]
    app = school.app("invitations.change")
    problem_in(invite(app, {"staff": owner["id"]}), "not-allowed")
    problem = problem_in(invite(app, {"student": student}), "not-allowed")
    assert "routines.change" in problem["detail"]
    of_students = school.app("invitations.change", *sorted(SCOPES_OF["student"]))
    assert invite(of_students, {"student": student}).status_code == 201
    problem_in(invite(of_students, {"student": student}, {"staff": owner["id"]}), "not-allowed")
    assert invite(school.app(*sorted(SCOPES_OF["app"])), {"staff": owner["id"]}).status_code == 201
