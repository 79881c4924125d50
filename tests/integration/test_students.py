"""Students over the API: made, shown, listed, changed, archived."""

from typing import Any

import pytest

from tests.integration.problem_checks import pointers, problem_in
from tests.integration.school import As, SchoolOfTest, Service, service_on

ILSE = {"display_name": "Ilse", "time_zone": "Europe/Oslo", "key": "oboe-17"}


def test_a_student_is_made_and_shown(school: SchoolOfTest) -> None:
    response = school.owner.post("/v1/students", ILSE)
    assert response.status_code == 201
    made = response.json()
    assert made | ILSE == made
    assert made["revision"] == 1
    assert response.headers["etag"] == '"1"'
    assert response.headers["location"] == f"/v1/students/{made['id']}"
    shown = school.owner.get(response.headers["location"])
    assert shown.json() == made
    assert shown.headers["etag"] == '"1"'
    again = school.owner.get(response.headers["location"], headers={"If-None-Match": '"1"'})
    assert (again.status_code, again.content) == (304, b"")


def test_a_change_needs_the_newest_revision(school: SchoolOfTest) -> None:
    path = f"/v1/students/{school.student()['id']}"
    body = {"display_name": "Ilse M.", "time_zone": "Europe/Oslo"}
    problem_in(school.owner.put(path, body), "if-match-needed")
    problem_in(school.owner.put(path, body, revision=2), "changed-meanwhile")
    problem_in(school.owner.put(path, body, headers={"If-Match": 'W/"1"'}), "changed-meanwhile")
    changed = school.owner.put(path, body, revision=1)
    assert changed.status_code == 200
    assert (changed.json()["display_name"], changed.json()["revision"]) == ("Ilse M.", 2)
    assert changed.headers["etag"] == '"2"'
    problem_in(school.owner.put(path, body, revision=1), "changed-meanwhile")
    assert school.owner.put(path, body, headers={"If-Match": "*"}).json()["revision"] == 3


def test_of_changes_at_the_same_time_one_is_made(school: SchoolOfTest) -> None:
    path = f"/v1/students/{school.student()['id']}"
    headers = {"If-Match": '"1"', "Authorization": f"Bearer {school.owner.secret}"}
    answers = school.service.api.send_all(
        [
            ("PUT", path, {"json": {"display_name": name, "time_zone": "UTC"}, "headers": headers})
            for name in ("A", "B", "C", "D", "E", "F")
        ]
    )
    assert sorted(answer.status_code for answer in answers) == [200] + [412] * 5
    made = next(answer for answer in answers if answer.status_code == 200)
    assert school.owner.get(path).json() == made.json()


def test_a_key_is_one_students(school: SchoolOfTest) -> None:
    school.student(key="a")
    other = school.student(key="b")
    problem_in(school.owner.post("/v1/students", {**ILSE, "key": "a"}), "taken")
    body = {"display_name": "Ilse", "time_zone": "UTC", "key": "a"}
    problem_in(school.owner.put(f"/v1/students/{other['id']}", body, revision=1), "taken")
    school.service.school("Another").student(key="a")


@pytest.mark.parametrize(
    ("body", "pointer"),
    [
        ({"time_zone": "UTC"}, "/display_name"),
        ({"display_name": "", "time_zone": "UTC"}, "/display_name"),
        ({"display_name": "x" * 101, "time_zone": "UTC"}, "/display_name"),
        ({"display_name": "a\nb", "time_zone": "UTC"}, "/display_name"),
        ({"display_name": "Ilse", "time_zone": "Europe/Atlantis"}, "/time_zone"),
        ({"display_name": "Ilse", "time_zone": "UTC", "born": "2017-05-04"}, "/born"),
        ({"display_name": "Ilse", "time_zone": "UTC", "key": "a b"}, "/key"),
    ],
)
def test_what_is_wrong_is_named(school: SchoolOfTest, body: dict[str, Any], pointer: str) -> None:
    problem = problem_in(school.owner.post("/v1/students", body), "invalid-input")
    assert pointers(problem) == [pointer]


def test_pages_hold_everybody_once(school: SchoolOfTest) -> None:
    made = []
    for number in range(7):
        made.append(school.student(key=f"k{number}")["id"])
        school.service.clock.go_on(seconds=number % 2)  # some in the same moment
    found: list[str] = []
    query = "limit=3"
    while query:
        page = school.owner.get(f"/v1/students?{query}").json()
        found += [student["id"] for student in page["students"]]
        query = f"limit=3&cursor={page['next']}" if page["next"] else ""
    assert sorted(found) == sorted(made)
    problem = problem_in(school.owner.get("/v1/students?cursor=nonsense"), "invalid-input")
    assert problem["errors"][0]["pointer"] == "/cursor"


def test_filters(school: SchoolOfTest) -> None:
    gone, here = school.student(key="gone"), school.student(key="here")
    body = {"display_name": "Ilse", "time_zone": "UTC", "key": "gone", "archived": True}
    assert school.owner.put(f"/v1/students/{gone['id']}", body, revision=1).json()["archived"] is True

    def ids(query: str) -> list[str]:
        return [student["id"] for student in school.owner.get(f"/v1/students?{query}").json()["students"]]

    assert ids("archived=true") == [gone["id"]]
    assert ids("archived=false") == [here["id"]]
    assert ids("key=here") == [here["id"]]
    assert ids("key=nobody") == []


def test_the_same_post_twice_makes_one(school: SchoolOfTest) -> None:
    headers = {"Idempotency-Key": "first"}
    one = school.owner.post("/v1/students", ILSE, headers=headers)
    two = school.owner.post("/v1/students", ILSE, headers=headers)
    assert (one.status_code, two.status_code) == (201, 201)
    assert one.content == two.content
    assert one.headers["location"] == two.headers["location"]
    assert len(school.owner.get("/v1/students").json()["students"]) == 1
    problem_in(school.owner.post("/v1/students", {**ILSE, "key": "x"}, headers=headers), "key-reused")
    school.service.clock.go_on(hours=25)
    problem_in(school.owner.post("/v1/students", ILSE, headers=headers), "taken")


def test_the_same_post_at_the_same_time_makes_one(school: SchoolOfTest) -> None:
    headers = {"Idempotency-Key": "at-once", "Authorization": f"Bearer {school.owner.secret}"}
    answers = school.service.api.send_all(
        [("POST", "/v1/students", {"json": ILSE, "headers": headers}) for _ in range(8)]
    )
    assert {answer.status_code for answer in answers} == {201}
    assert len({answer.content for answer in answers}) == 1


def test_without_a_token_nothing_is_stored_or_shown(service: Service) -> None:
    for asked in (service.api.get("/v1/students"), As(service.api, "bagatelle_x").get("/v1/students")):
        problem_in(asked, "no-token")
        assert asked.headers["www-authenticate"].startswith("Bearer")


def test_another_schools_student_is_nowhere(school: SchoolOfTest) -> None:
    other = school.service.school("Another")
    path = f"/v1/students/{other.student()['id']}"
    body = {"display_name": "Mine now", "time_zone": "UTC"}
    problem_in(school.owner.get(path), "unknown-id")
    problem_in(school.owner.put(path, body, revision=1), "unknown-id")
    assert school.owner.get("/v1/students").json()["students"] == []
    assert other.owner.get(path).json()["display_name"] == "Ilse"


def test_a_token_may_do_what_it_says(school: SchoolOfTest) -> None:
    app = school.app("students.read")
    assert app.get("/v1/students").status_code == 200
    problem_in(app.post("/v1/students", ILSE), "not-allowed")
    problem_in(school.service.operator.get("/v1/students"), "not-allowed")


def test_a_token_that_is_taken_back_opens_nothing(school: SchoolOfTest) -> None:
    made = school.owner.make("/v1/tokens", {"for_whom": "app", "scopes": ["students.read"]})
    app = As(school.service.api, made["secret"])
    assert app.get("/v1/students").status_code == 200
    assert school.owner.delete(f"/v1/tokens/{made['token']['id']}").status_code == 204
    problem_in(app.get("/v1/students"), "no-token")


def test_permits_of_a_minute(any_database_url: str) -> None:
    with service_on(any_database_url, requests_a_minute=5) as service:
        school = service.school()
        statuses = [school.owner.get("/v1/students").status_code for _ in range(7)]
        assert statuses == [200] * 5 + [429] * 2
        service.clock.go_on(minutes=1)
        assert school.owner.get("/v1/students").status_code == 200
