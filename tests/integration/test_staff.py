"""Staff over the API: added, shown, listed, changed, archived; a school keeps an owner."""

from typing import Any

import pytest

from tests.integration.problem_checks import problem_in
from tests.integration.school import SchoolOfTest

TEACHER = {"role": "teacher", "display_name": "Low brass"}


def owner_of(school: SchoolOfTest) -> dict[str, Any]:
    (owner,) = school.owner.get("/v1/staff?role=owner&archived=false").json()["staff"]
    found: dict[str, Any] = owner
    return found


def test_a_teacher_is_added_and_shown(school: SchoolOfTest) -> None:
    response = school.owner.post("/v1/staff", TEACHER)
    assert response.status_code == 201
    made = response.json()
    assert made | TEACHER == made
    assert (made["revision"], made["archived"], response.headers["etag"]) == (1, False, '"1"')
    shown = school.owner.get(response.headers["location"])
    assert shown.json() == made
    again = school.owner.get(response.headers["location"], headers={"If-None-Match": '"1"'})
    assert again.status_code == 304


def test_filters_and_pages(school: SchoolOfTest) -> None:
    first = owner_of(school)["id"]
    made = [school.staff(name=f"Teacher {number}")["id"] for number in range(3)]
    body = {**TEACHER, "archived": True}
    assert school.owner.put(f"/v1/staff/{made[0]}", body, revision=1).status_code == 200

    def ids(query: str) -> set[str]:
        return {one["id"] for one in school.owner.get(f"/v1/staff?{query}").json()["staff"]}

    assert ids("role=teacher") == set(made)
    assert ids("role=owner") == {first}
    assert ids("archived=true") == {made[0]}
    assert ids("archived=false&role=teacher") == set(made[1:])
    page = school.owner.get("/v1/staff?limit=3").json()
    assert len(page["staff"]) == 3
    assert len(ids(f"limit=3&cursor={page['next']}")) == 1


def test_a_change_needs_the_newest_revision(school: SchoolOfTest) -> None:
    path = f"/v1/staff/{school.staff()['id']}"
    body = {"role": "teacher", "display_name": "High brass"}
    problem_in(school.owner.put(path, body), "if-match-needed")
    problem_in(school.owner.put(path, body, revision=2), "changed-meanwhile")
    changed = school.owner.put(path, body, revision=1)
    assert (changed.json()["display_name"], changed.headers["etag"]) == ("High brass", '"2"')


def test_of_two_changes_at_once_one_is_too_late(school: SchoolOfTest) -> None:
    path = f"/v1/staff/{school.staff()['id']}"
    headers = {"Authorization": f"Bearer {school.owner.secret}", "If-Match": '"1"'}
    answers = school.service.api.send_all(
        [
            ("PUT", path, {"json": {"role": "teacher", "display_name": f"Name {number}"}, "headers": headers})
            for number in range(6)
        ]
    )
    assert sorted(answer.status_code for answer in answers) == [200] + [412] * 5


@pytest.mark.parametrize(
    ("body", "pointer"),
    [
        ({"role": "owner", "display_name": "Office", "archived": True}, "/archived"),
        ({"role": "teacher", "display_name": "Office"}, "/role"),
        ({"role": "teacher", "display_name": "Office", "archived": True}, "/archived"),
    ],
)
def test_the_last_owner_stays(school: SchoolOfTest, body: dict[str, Any], pointer: str) -> None:
    first = owner_of(school)
    path = f"/v1/staff/{first['id']}"
    problem = problem_in(school.owner.put(path, body, revision=1), "invalid-input")
    assert [(wrong["pointer"], wrong["message"]) for wrong in problem["errors"]] == [
        (pointer, "the school's last active owner")
    ]
    assert school.owner.get(path).json() == first
    renamed = school.owner.put(path, {"role": "owner", "display_name": "Head"}, revision=1)
    assert renamed.json()["display_name"] == "Head"
    school.staff("owner")
    assert school.owner.put(path, body, revision=2).status_code == 200


def test_an_archived_owner_counts_for_nothing(school: SchoolOfTest) -> None:
    gone = school.staff("owner")
    body = {"role": "owner", "display_name": "Gone", "archived": True}
    assert school.owner.put(f"/v1/staff/{gone['id']}", body, revision=1).status_code == 200
    first = owner_of(school)["id"]
    problem_in(school.owner.put(f"/v1/staff/{first}", body, revision=1), "invalid-input")


def test_owners_who_archive_each_other_at_once(school: SchoolOfTest) -> None:
    school.staff("owner")
    app = school.app("staff.read", "staff.change")
    everybody = [one["id"] for one in app.get("/v1/staff").json()["staff"]]
    headers = {"Authorization": f"Bearer {app.secret}", "If-Match": '"1"'}
    body = {"role": "owner", "display_name": "Gone", "archived": True}
    answers = school.service.api.send_all(
        [("PUT", f"/v1/staff/{one}", {"json": body, "headers": headers}) for one in everybody]
    )
    assert sorted(answer.status_code for answer in answers) == [200, 422]
    assert len(app.get("/v1/staff?archived=false&role=owner").json()["staff"]) == 1


def test_archived_staff_are_shut_out(school: SchoolOfTest) -> None:
    teacher = school.staff()
    path = f"/v1/staff/{teacher['id']}"
    caller = school.let_in(staff=teacher["id"])
    code = school.invite(staff=teacher["id"])
    assert caller.get("/v1/students").status_code == 200
    assert school.owner.put(path, {**TEACHER, "archived": True}, revision=1).status_code == 200
    problem_in(caller.get("/v1/students"), "no-token")
    problem_in(school.service.redeem(code), "spent")
    assert school.owner.put(path, TEACHER, revision=2).json()["archived"] is False
    assert caller.get("/v1/students").status_code == 200


def test_who_may(school: SchoolOfTest) -> None:
    teacher = school.staff()
    caller = school.let_in(staff=teacher["id"])
    for asked in (
        caller.get("/v1/staff"),
        caller.post("/v1/staff", TEACHER),
        caller.put(f"/v1/staff/{teacher['id']}", {**TEACHER, "role": "owner"}, revision=1),
        school.app("staff.read").post("/v1/staff", TEACHER),
        school.service.operator.get("/v1/staff"),
    ):
        problem_in(asked, "not-allowed")
    other = school.service.school("Another")
    problem_in(other.owner.get(f"/v1/staff/{teacher['id']}"), "unknown-id")
    problem_in(other.owner.put(f"/v1/staff/{teacher['id']}", TEACHER, revision=1), "unknown-id")


def test_whoever_becomes_a_teacher_loses_an_owners_scopes_at_once(school: SchoolOfTest) -> None:
    other = school.staff("owner")
    caller = school.let_in(staff=other["id"])
    assert caller.get("/v1/staff").status_code == 200
    school.owner.put(f"/v1/staff/{other['id']}", TEACHER, revision=1)
    problem_in(caller.get("/v1/staff"), "not-allowed")
