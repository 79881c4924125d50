"""Who a token is, over the API."""

from bagatelle_service.school.roles import SCOPES_OF, Role

from tests.integration.problem_checks import problem_in
from tests.integration.school import As, SchoolOfTest


def test_each_role_is_told_who_it_is(school: SchoolOfTest) -> None:
    student, teacher = school.student()["id"], school.staff()["id"]
    guardian = school.guardian(student)["id"]
    (owner,) = school.owner.get("/v1/staff?role=owner").json()["staff"]
    told: dict[Role, tuple[As, str, str | None]] = {
        "owner": (school.owner, owner["id"], None),
        "teacher": (school.let_in(staff=teacher), teacher, None),
        "student": (school.let_in(student=student), student, student),
        "guardian": (school.let_in(guardian=guardian), guardian, student),
    }
    for role, (caller, member, reads) in told.items():
        assert caller.get("/v1/caller").json() == {
            "role": role,
            "school": school.id,
            "member": member,
            "student": reads,
            "scopes": sorted(SCOPES_OF[role]),
            "expires_at": None,
        }


def test_an_app_and_the_operator_are_no_members(school: SchoolOfTest) -> None:
    body = {"for_whom": "app", "scopes": ["students.read"], "expires_at": "2027-04-01T00:00:00Z"}
    app = As(school.service.api, school.owner.make("/v1/tokens", body)["secret"])
    assert app.get("/v1/caller").json() == {
        "role": "app",
        "school": school.id,
        "member": None,
        "student": None,
        "scopes": ["students.read"],
        "expires_at": "2027-04-01T00:00:00Z",
    }
    operator = school.service.operator.get("/v1/caller").json()
    assert (operator["role"], operator["school"], operator["member"]) == ("operator", None, None)


def test_nobody_is_told_nothing(school: SchoolOfTest) -> None:
    problem_in(school.service.api.get("/v1/caller"), "no-token")
