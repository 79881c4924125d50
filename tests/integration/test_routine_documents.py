"""Export and import: what was exported is taken in anywhere, and comes out the same."""

from collections.abc import Iterator
from typing import Any

import pytest
from bagatelle import load_instruments
from bagatelle.model.errors import InvalidInputError, NotShortError
from hypothesis import HealthCheck, given, reject, settings
from hypothesis import strategies as st

from tests import strategies
from tests.integration.problem_checks import pointers, problem_in
from tests.integration.school import SchoolOfTest, service_on

STABLE = ("instrument", "locale", "learner", "policy", "routine")
ROUTINE = {"routine": {"blocks": [{"title": "Scales", "minutes": 10}, {"title": "Waltz", "minutes": 20}]}}


@pytest.fixture
def two_schools(any_database_url: str) -> Iterator[tuple[SchoolOfTest, SchoolOfTest]]:
    with service_on(any_database_url, instruments=load_instruments(), requests_a_minute=1_000_000) as service:
        schools = service.school(), service.school("Another")
        for school in schools:
            body = {"name": "A school", "keeps_health_facts": True}
            assert school.owner.put(f"/v1/schools/{school.id}", body, revision=1).status_code == 200
        yield schools


def path_in(school: SchoolOfTest) -> str:
    return f"/v1/students/{school.student()['id']}/routines"


def exported(school: SchoolOfTest, made: dict[str, Any]) -> Any:
    response = school.owner.get(f"/v1/routines/{made['id']}/export")
    assert (response.status_code, response.headers["etag"]) == (200, f'"{made["revision"]}"')
    return response.json()


@st.composite
def stored_routines(draw: st.DrawFn) -> dict[str, Any]:
    """What of a request is stored, of requests that the engine takes."""
    sent = draw(strategies.requests(most_tasks=5))
    try:
        strategies.request_of(sent)
    except (InvalidInputError, NotShortError):
        reject()
    return {name: sent[name] for name in STABLE if name in sent}


@settings(
    max_examples=25,
    deadline=None,
    derandomize=True,
    database=None,
    suppress_health_check=list(HealthCheck),
)
@given(sent=stored_routines())
def test_what_is_imported_comes_out_the_same(
    two_schools: tuple[SchoolOfTest, SchoolOfTest], sent: dict[str, Any]
) -> None:
    one, other = two_schools
    made = one.owner.make(path_in(one), sent)
    document = exported(one, made)
    taken = other.owner.make(f"{path_in(other)}/imports", document)
    assert exported(other, taken) == document
    assert {name: taken[name] for name in STABLE} == {name: made[name] for name in STABLE}
    assert [task["key"] for task in taken["tasks"]] == [task["key"] for task in made["tasks"]]
    assert not {task["id"] for task in taken["tasks"]} & {task["id"] for task in made["tasks"]}


def test_a_document_names_nobody(school: SchoolOfTest) -> None:
    student = school.student(name="Ilse", key="oboe-17")
    made = school.owner.make(f"/v1/students/{student['id']}/routines", {**ROUTINE, "key": "weekdays"})
    response = school.owner.get(f"/v1/routines/{made['id']}/export")
    told = [school.id, student["id"], made["id"], "Ilse", "oboe-17", "weekdays", "created_at"]
    told += [task["id"] for task in made["tasks"]]
    assert [each for each in told if each in response.text] == []
    assert response.json().keys() == {"format", "version", *STABLE, "tasks"}


def test_the_export_is_of_the_newest_revision(school: SchoolOfTest) -> None:
    made = school.owner.make(path_in(school), ROUTINE)
    changed = {"routine": {"blocks": [{"title": "Waltz", "minutes": 20}]}}
    newer = school.owner.put(f"/v1/routines/{made['id']}", changed, revision=1).json()
    document = exported(school, newer)
    assert document["tasks"] == [{"key": "waltz", "pointer": "/routine/blocks/0"}]
    response = school.owner.get(f"/v1/routines/{made['id']}/export", headers={"If-None-Match": '"2"'})
    assert response.status_code == 304


@pytest.mark.parametrize(
    ("change", "pointer", "accepted"),
    [
        ({"version": 2}, "/version", "1"),
        ({"version": "1"}, "/version", "1"),
        ({"format": "another"}, "/format", "bagatelle-routine"),
        ({"student": "Ilse"}, "/student", "routine"),
        ({"tasks": []}, "/tasks", "2"),
        (
            {
                "tasks": [
                    {"key": "a", "pointer": "/routine/blocks/0"},
                    {"key": "waltz", "pointer": "/routine/blocks/1"},
                ]
            },
            "/tasks/0/key",
            "scales",
        ),
    ],
)
def test_another_document_is_refused(
    school: SchoolOfTest, change: dict[str, Any], pointer: str, accepted: str
) -> None:
    path = path_in(school)
    document = exported(school, school.owner.make(path, ROUTINE))
    problem = problem_in(school.owner.post(f"{path}/imports", document | change), "invalid-input")
    assert pointers(problem) == [pointer]
    assert accepted in problem["errors"][0]["accepted"]
    assert len(school.owner.get(path).json()["routines"]) == 1


def test_what_no_plan_takes_is_not_imported(school: SchoolOfTest) -> None:
    path = path_in(school)
    document = exported(school, school.owner.make(path, ROUTINE))
    task = {"exercise": "piano.nothing", "minutes": 5}
    document["routine"] = {"blocks": [{"title": "Scales", "tasks": [task]}]}
    problem = problem_in(school.owner.post(f"{path}/imports", document), "invalid-input")
    assert pointers(problem) == ["/routine/blocks/0/tasks/0/exercise"]


def test_the_same_import_twice_makes_one(school: SchoolOfTest) -> None:
    path = path_in(school)
    document = exported(school, school.owner.make(path, ROUTINE))
    headers = {"Idempotency-Key": "one"}
    answers = [school.owner.post(f"{path}/imports", document, headers=headers) for _ in range(2)]
    assert answers[0].status_code == 201
    assert answers[0].content == answers[1].content
    assert len(school.owner.get(path).json()["routines"]) == 2
