"""Groups over the API: made, shown, listed, changed, archived, and what a teacher reaches through them."""

from typing import Any
from uuid import uuid4

import pytest

from tests.integration.problem_checks import pointers, problem_in
from tests.integration.school import As, SchoolOfTest


def names_of(somebody: As, query: str) -> list[str]:
    return [group["name"] for group in somebody.get(f"/v1/groups?{query}").json()["groups"]]


def test_a_group_is_made_and_shown(school: SchoolOfTest) -> None:
    teacher, _ = school.teacher()
    students = [school.student()["id"], school.student()["id"]]
    body = {"name": "Tuesdays", "teachers": [teacher], "students": students}
    response = school.owner.post("/v1/groups", body)
    assert response.status_code == 201
    made = response.json()
    assert (made["name"], made["teachers"], made["students"]) == ("Tuesdays", [teacher], sorted(students))
    assert response.headers["etag"] == '"1"'
    assert response.headers["location"] == f"/v1/groups/{made['id']}"
    shown = school.owner.get(response.headers["location"])
    assert (shown.json(), shown.headers["etag"]) == (made, '"1"')
    again = school.owner.get(response.headers["location"], headers={"If-None-Match": '"1"'})
    assert again.status_code == 304


def test_a_change_takes_the_whole_group(school: SchoolOfTest) -> None:
    teacher, _ = school.teacher()
    one, two, three = (school.student()["id"] for _ in range(3))
    path = f"/v1/groups/{school.group([teacher], [one, two])['id']}"
    body = {"name": "Thursdays", "students": [two, three]}
    problem_in(school.owner.put(path, body), "if-match-needed")
    problem_in(school.owner.put(path, body, revision=2), "changed-meanwhile")
    changed = school.owner.put(path, body, revision=1)
    assert changed.headers["etag"] == '"2"'
    assert changed.json()["students"] == sorted([two, three])
    assert (changed.json()["teachers"], changed.json()["name"]) == ([], "Thursdays")
    assert school.owner.get(path).json() == changed.json()
    archived = school.owner.put(path, {**body, "archived": True}, revision=2).json()
    assert (archived["archived"], archived["students"]) == (True, sorted([two, three]))
    assert school.owner.put(path, body, revision=3).json()["archived"] is False


def test_who_is_not_of_the_school_is_a_wrong_field(school: SchoolOfTest) -> None:
    teacher, _ = school.teacher()
    student = school.student()["id"]
    other = school.service.school("Another").student()["id"]
    body = {
        "name": "Tuesdays",
        "teachers": [teacher, student, str(uuid4())],
        "students": [student, other, student, teacher],
    }
    problem = problem_in(school.owner.post("/v1/groups", body), "invalid-input")
    assert pointers(problem) == ["/students/1", "/students/2", "/students/3", "/teachers/1", "/teachers/2"]
    assert all(wrong["accepted"] for wrong in problem["errors"])
    assert names_of(school.owner, "") == []
    path = f"/v1/groups/{school.group([teacher], [student])['id']}"
    problem = problem_in(school.owner.put(path, body, revision=1), "invalid-input")
    assert pointers(problem)[0] == "/students/1"
    assert school.owner.get(path).json()["revision"] == 1


@pytest.mark.parametrize(
    ("body", "pointer"),
    [
        ({}, "/name"),
        ({"name": ""}, "/name"),
        ({"name": "Tuesdays", "students": ["Ilse"]}, "/students/0"),
        ({"name": "Tuesdays", "teacher": []}, "/teacher"),
        ({"name": "Tuesdays", "students": [str(uuid4())] * 501}, "/students"),
    ],
)
def test_what_is_wrong_is_named(school: SchoolOfTest, body: dict[str, Any], pointer: str) -> None:
    problem = problem_in(school.owner.post("/v1/groups", body), "invalid-input")
    assert pointer in pointers(problem)


def test_a_group_holds_500_members_and_no_more(school: SchoolOfTest) -> None:
    teacher, _ = school.teacher()
    ids = [str(uuid4()) for _ in range(500)]
    problem = problem_in(
        school.owner.post("/v1/groups", {"name": "All", "teachers": [teacher], "students": ids}),
        "invalid-input",
    )
    assert any("501 teachers and students" in wrong["message"] for wrong in problem["errors"])


def test_filters_and_pages(school: SchoolOfTest) -> None:
    (anna, _), (bo, _) = school.teacher(), school.teacher()
    one, two = school.student()["id"], school.student()["id"]
    school.group([anna], [one], "a")
    school.group([anna, bo], [one, two], "b")
    gone = school.group([bo], [two], "c")
    body = {"name": "c", "teachers": [bo], "students": [two], "archived": True}
    school.owner.put(f"/v1/groups/{gone['id']}", body, revision=1)

    def found(query: str) -> list[str]:
        return sorted(names_of(school.owner, query))

    assert found(f"teacher={anna}") == ["a", "b"]
    assert found(f"student={two}") == ["b", "c"]
    assert found(f"student={two}&archived=false") == ["b"]
    assert found("archived=true") == ["c"]
    assert found(f"student={uuid4()}") == []
    seen, query = [], "limit=2"
    while query:
        page = school.owner.get(f"/v1/groups?{query}").json()
        seen += [group["name"] for group in page["groups"]]
        query = f"limit=2&cursor={page['next']}" if page["next"] else ""
    assert sorted(seen) == ["a", "b", "c"]
    problem_in(school.owner.get("/v1/groups?student=Ilse"), "invalid-input")


def test_a_teacher_sees_own_groups_only(school: SchoolOfTest) -> None:
    (anna_id, anna), (bo_id, bo) = school.teacher(), school.teacher()
    of_anna = school.group([anna_id], [], "a")
    of_bo = school.group([bo_id], [], "b")
    assert names_of(anna, "") == ["a"]
    assert names_of(anna, f"teacher={bo_id}") == []
    assert anna.get(f"/v1/groups/{of_anna['id']}").status_code == 200
    problem_in(anna.get(f"/v1/groups/{of_bo['id']}"), "not-allowed")
    problem_in(anna.put(f"/v1/groups/{of_anna['id']}", {"name": "x"}, revision=1), "not-allowed")
    problem_in(bo.post("/v1/groups", {"name": "x"}), "not-allowed")
    problem_in(anna.get(f"/v1/groups/{uuid4()}"), "unknown-id")


def test_a_teacher_reaches_the_students_of_own_groups_that_go_on(school: SchoolOfTest) -> None:
    (anna_id, anna), (bo_id, _) = school.teacher(), school.teacher()
    mine, others, nobodys = (school.student(key=key)["id"] for key in ("mine", "others", "nobodys"))
    group = school.group([anna_id], [mine])
    school.group([bo_id], [others])
    assert [one["id"] for one in anna.get("/v1/students").json()["students"]] == [mine]
    assert anna.get(f"/v1/students/{mine}").status_code == 200
    routine = {"routine": {"blocks": [{"title": "Scales", "minutes": 10}]}}
    assert anna.post(f"/v1/students/{mine}/routines", routine).status_code == 201
    for student in (others, nobodys):
        problem_in(anna.get(f"/v1/students/{student}"), "not-allowed")
        problem_in(anna.get(f"/v1/students/{student}/routines"), "not-allowed")
        problem_in(anna.post(f"/v1/students/{student}/routines", routine), "not-allowed")
    body = {"name": "Tuesdays", "teachers": [anna_id], "students": [mine], "archived": True}
    school.owner.put(f"/v1/groups/{group['id']}", body, revision=1)
    problem_in(anna.get(f"/v1/students/{mine}"), "not-allowed")
    problem_in(anna.get(f"/v1/students/{mine}/routines"), "not-allowed")
    assert anna.get("/v1/students").json()["students"] == []
    school.owner.put(f"/v1/groups/{group['id']}", {**body, "archived": False, "students": []}, revision=2)
    problem_in(anna.get(f"/v1/students/{mine}"), "not-allowed")


def test_students_and_guardians_see_no_groups(school: SchoolOfTest) -> None:
    student = school.student()["id"]
    group = school.group([], [student])
    for somebody in (school.let_in(student=student), school.let_in(guardian=school.guardian(student)["id"])):
        problem_in(somebody.get("/v1/groups"), "not-allowed")
        problem_in(somebody.get(f"/v1/groups/{group['id']}"), "not-allowed")


def test_another_schools_group_is_nowhere(school: SchoolOfTest) -> None:
    other = school.service.school("Another")
    group = other.group([], [other.student()["id"]])
    path = f"/v1/groups/{group['id']}"
    problem_in(school.owner.get(path), "unknown-id")
    problem_in(school.owner.put(path, {"name": "Mine now"}, revision=1), "unknown-id")
    assert names_of(school.owner, "") == []
    assert other.owner.get(path).json() == group


def test_scopes(school: SchoolOfTest) -> None:
    reader = school.app("groups.read")
    assert reader.get("/v1/groups").status_code == 200
    problem_in(reader.post("/v1/groups", {"name": "x"}), "not-allowed")
    problem_in(school.app("students.read").get("/v1/groups"), "not-allowed")


def test_the_same_post_twice_makes_one(school: SchoolOfTest) -> None:
    headers = {"Idempotency-Key": "one"}
    answers = [school.owner.post("/v1/groups", {"name": "Tuesdays"}, headers=headers) for _ in range(2)]
    assert answers[0].content == answers[1].content
    assert names_of(school.owner, "") == ["Tuesdays"]
