"""Schools over the API: made by the operator, changed by their owners, archived by the operator."""

from tests.integration.problem_checks import pointers, problem_in
from tests.integration.school import SchoolOfTest, Service

NAME = {"name": "Music school by the river"}


def test_the_operator_makes_schools_and_lists_them(service: Service) -> None:
    one, other = service.school("One"), service.school("Other")
    listed = service.operator.get("/v1/schools").json()["schools"]
    assert {school["id"] for school in listed} == {one.id, other.id}
    problem_in(one.owner.get("/v1/schools"), "not-allowed")
    problem_in(one.owner.post("/v1/schools", {"name": "Mine", "owner_name": "Me"}), "not-allowed")


def test_a_school_is_made_once_under_one_key(service: Service) -> None:
    headers = {"Idempotency-Key": "one-school"}
    body = {"name": "One", "owner_name": "Office"}
    answers = [service.operator.post("/v1/schools", body, headers=headers) for _ in range(2)]
    assert answers[0].content == answers[1].content
    assert len(service.operator.get("/v1/schools").json()["schools"]) == 1


def test_an_owner_sees_and_changes_the_own_school_alone(school: SchoolOfTest) -> None:
    other = school.service.school("Other")
    path = f"/v1/schools/{school.id}"
    assert school.owner.get(path).json()["name"] == NAME["name"]
    problem_in(school.owner.get(f"/v1/schools/{other.id}"), "unknown-id")
    problem_in(school.owner.put(f"/v1/schools/{other.id}", NAME, revision=1), "unknown-id")
    changed = school.owner.put(path, {"name": "By the sea", "retention_days": 365}, revision=1).json()
    assert (changed["name"], changed["retention_days"], changed["revision"]) == ("By the sea", 365, 2)
    problem_in(school.owner.put(path, NAME, revision=1), "changed-meanwhile")
    wrong = school.owner.put(path, {**NAME, "retention_days": 29}, revision=2)
    assert pointers(problem_in(wrong, "invalid-input")) == ["/retention_days"]


def test_what_is_kept_of_students_is_the_schools_to_say(school: SchoolOfTest) -> None:
    path, operator = f"/v1/schools/{school.id}", school.service.operator
    for kept in ({"keeps_health_facts": True}, {"retention_days": 30}):
        problem_in(operator.put(path, {**NAME, **kept}, revision=1), "not-allowed")
    assert school.owner.put(path, {**NAME, "keeps_health_facts": True}, revision=1).status_code == 200
    problem_in(operator.put(path, NAME, revision=2), "not-allowed")
    renamed = operator.put(path, {"name": "New", "keeps_health_facts": True}, revision=2)
    assert renamed.json()["name"] == "New"


def test_an_archived_school_opens_to_nobody_and_loses_nothing(school: SchoolOfTest) -> None:
    student = school.student()["id"]
    path, operator = f"/v1/schools/{school.id}", school.service.operator
    problem_in(school.owner.put(path, {**NAME, "archived": True}, revision=1), "not-allowed")
    assert operator.put(path, {**NAME, "archived": True}, revision=1).json()["archived"] is True
    problem_in(school.owner.get(path), "no-token")
    assert operator.put(path, NAME, revision=2).json()["archived"] is False
    assert school.owner.get(f"/v1/students/{student}").status_code == 200


def test_of_changes_at_the_same_time_one_is_made(school: SchoolOfTest) -> None:
    headers = {"If-Match": '"1"', "Authorization": f"Bearer {school.owner.secret}"}
    asked = [
        ("PUT", f"/v1/schools/{school.id}", {"json": {"name": name}, "headers": headers})
        for name in ("A", "B", "C", "D", "E", "F")
    ]
    answers = school.service.api.send_all(asked)
    assert sorted(answer.status_code for answer in answers) == [200] + [412] * 5
