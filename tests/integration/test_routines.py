"""Routines over the API: stored, shown, listed, changed, archived; their tasks keep their ids."""

from collections.abc import Iterator
from copy import deepcopy
from typing import Any
from uuid import UUID, uuid4

import pytest
from bagatelle import load_instruments
from bagatelle_service.school.pages import cursor_of

from tests.integration.problem_checks import pointers, problem_in
from tests.integration.school import As, SchoolOfTest, service_on

SCALES = {"id": "scales", "title": "Scales", "minutes": 10}
WALTZ = {
    "id": "waltz",
    "title": "Waltz",
    "minutes": 20,
    "passages": [{"id": "a", "label": "A", "seconds": 60}],
}


def routine_of(*tasks: dict[str, Any], **fields: Any) -> dict[str, Any]:
    return {"routine": {"blocks": [{"title": "All of it", "tasks": list(tasks)}]}, **fields}


def ids_of(answer: dict[str, Any]) -> dict[str, str]:
    return {task["key"]: task["id"] for task in answer["tasks"]}


@pytest.fixture
def path(school: SchoolOfTest) -> str:
    return f"/v1/students/{school.student()['id']}/routines"


@pytest.fixture
def catalogue_school(any_database_url: str) -> Iterator[SchoolOfTest]:
    with service_on(any_database_url, instruments=load_instruments()) as service:
        yield service.school()


def test_a_routine_is_stored_and_shown(school: SchoolOfTest, path: str) -> None:
    body = routine_of(SCALES, WALTZ, key="weekdays", instrument="oboe", learner={"level": "beginner"})
    response = school.owner.post(path, body)
    assert response.status_code == 201, response.text
    made = response.json()
    assert response.headers["etag"] == '"1"'
    assert response.headers["location"] == f"/v1/routines/{made['id']}"
    assert (made["student"], made["key"], made["revision"]) == (path.split("/")[3], "weekdays", 1)
    assert (made["instrument"], made["learner"]["level"]) == ("oboe", "beginner")
    assert [(task["key"], task["pointer"]) for task in made["tasks"]] == [
        ("scales", "/routine/blocks/0/tasks/0"),
        ("waltz", "/routine/blocks/0/tasks/1"),
    ]
    shown = school.owner.get(response.headers["location"])
    assert (shown.json(), shown.headers["etag"]) == (made, '"1"')
    not_modified = school.owner.get(response.headers["location"], headers={"If-None-Match": '"1"'})
    assert not_modified.status_code == 304
    # What is shown can be sent again, and a plan takes it.
    sent = {name: made[name] for name in ("instrument", "locale", "learner", "policy", "routine")}
    assert (
        school.owner.post("/v1/compressions", {**sent, "circumstances": {"minutes": 10}}).status_code == 200
    )
    assert school.owner.post(path, sent).json()["routine"] == made["routine"]


def test_keys_are_those_that_the_engine_makes(school: SchoolOfTest, path: str) -> None:
    """The engine names tasks by the ids that it makes; storage must find them by the same."""
    blocks = [
        {"title": "Scales", "minutes": 5, "area": "technique"},
        {"title": "Pieces", "tasks": [{"title": "Waltz", "minutes": 5}, {"title": "Waltz", "minutes": 6}]},
        {"id": "ear", "title": "Listening", "minutes": 5, "area": "ear"},
        {"title": "Walz!", "tasks": [{"id": "scales", "title": "Something", "minutes": 7}]},
    ]
    made = school.owner.make(path, {"routine": {"blocks": blocks}})
    findings = school.owner.post("/v1/specificity-checks", {"routine": made["routine"]}).json()["findings"]
    places = {task["key"]: task["pointer"] for task in made["tasks"]}
    assert {finding["task"] for finding in findings if finding["task"]} == set(places)
    for finding in findings:
        if finding["question"] == "how-much":
            assert finding["pointer"].startswith(places[finding["task"]])
    assert set(ids_of(made)) == {"scales", "scales-2", "waltz", "waltz-2", "ear"}


def test_a_task_has_its_id_for_good(school: SchoolOfTest, path: str) -> None:
    made = school.owner.make(path, routine_of(SCALES, WALTZ))
    where = f"/v1/routines/{made['id']}"
    first = ids_of(made)
    renamed = {**SCALES, "title": "Scales in thirds", "minutes": 15}
    without = school.owner.put(where, routine_of(renamed), revision=1).json()
    assert ids_of(without) == {"scales": first["scales"]}
    back = school.owner.put(where, routine_of(WALTZ, SCALES, {**SCALES, "id": "more"}), revision=2).json()
    assert {key: ids_of(back)[key] for key in first} == first
    assert ids_of(back)["more"] not in first.values()
    another = school.owner.make(path, routine_of(SCALES))
    assert ids_of(another)["scales"] not in ids_of(back).values()


def test_a_change_needs_the_newest_revision(school: SchoolOfTest, path: str) -> None:
    where = f"/v1/routines/{school.owner.make(path, routine_of(SCALES))['id']}"
    body = routine_of(WALTZ, key="new")
    problem_in(school.owner.put(where, body), "if-match-needed")
    problem_in(school.owner.put(where, body, revision=2), "changed-meanwhile")
    changed = school.owner.put(where, body, revision=1)
    assert (changed.status_code, changed.headers["etag"]) == (200, '"2"')
    assert (changed.json()["key"], list(ids_of(changed.json()))) == ("new", ["waltz"])
    assert school.owner.get(where).json() == changed.json()


def test_revisions_stay_as_they_were(school: SchoolOfTest, path: str) -> None:
    made = school.owner.make(path, routine_of(SCALES, WALTZ))
    where = f"/v1/routines/{made['id']}"
    for number in range(1, 6):
        school.service.clock.go_on(seconds=number % 2)
        school.owner.put(where, routine_of({**SCALES, "minutes": 10 + number}), revision=number)
    numbers, query = [], "limit=2"
    while query:
        page = school.owner.get(f"{where}/revisions?{query}").json()
        numbers += [revision["number"] for revision in page["revisions"]]
        query = f"limit=2&cursor={page['next']}" if page["next"] else ""
    assert numbers == [1, 2, 3, 4, 5, 6]
    first = school.owner.get(f"{where}/revisions/1").json()
    assert (first["routine"], first["tasks"]) == (made["routine"], made["tasks"])
    assert (
        school.owner.get(f"{where}/revisions/6").json()["routine"]
        == school.owner.get(where).json()["routine"]
    )
    for nothing in ("7", "0", "01", "x", "9" * 10):
        problem_in(school.owner.get(f"{where}/revisions/{nothing}"), "unknown-id")
    # A cursor of another list holds an id where ours have a number.
    cursor = cursor_of(school.service.clock(), UUID(int=2**128 - 1))
    assert school.owner.get(f"{where}/revisions?cursor={cursor}").json() == {"revisions": [], "next": None}


def test_a_routine_is_archived_and_comes_back(school: SchoolOfTest, path: str) -> None:
    made = school.owner.make(path, routine_of(SCALES, key="old"))
    where = f"/v1/routines/{made['id']}"
    problem = problem_in(
        school.owner.put(where, routine_of(WALTZ, archived=True), revision=1), "invalid-input"
    )
    assert pointers(problem) == ["/archived"]
    archived = school.owner.put(where, routine_of(SCALES, key="old", archived=True), revision=1).json()
    assert (archived["archived"], archived["revision"], archived["tasks"]) == (True, 2, made["tasks"])
    assert school.owner.put(where, routine_of(WALTZ, key="old"), revision=2).json()["archived"] is False


def test_filters_and_pages(school: SchoolOfTest, path: str) -> None:
    keys = ["a", "b", "c", "d"]
    for key in keys:
        school.owner.make(path, routine_of(SCALES, key=key))
    school.owner.make(f"/v1/students/{school.student()['id']}/routines", routine_of(SCALES, key="a"))
    gone = school.owner.get(f"{path}?key=b").json()["routines"]
    assert [routine["key"] for routine in gone] == ["b"]
    school.owner.put(f"/v1/routines/{gone[0]['id']}", routine_of(SCALES, key="b", archived=True), revision=1)

    def found(query: str) -> list[str]:
        return sorted(routine["key"] for routine in school.owner.get(f"{path}?{query}").json()["routines"])

    assert found("archived=true") == ["b"]
    assert found("archived=false") == ["a", "c", "d"]
    assert found("key=b&archived=false") == []
    seen, query = [], "limit=3"
    while query:
        page = school.owner.get(f"{path}?{query}").json()
        seen += [routine["key"] for routine in page["routines"]]
        query = f"limit=3&cursor={page['next']}" if page["next"] else ""
    assert sorted(seen) == keys


def test_a_key_is_one_routines_of_a_student(school: SchoolOfTest, path: str) -> None:
    school.owner.make(path, routine_of(SCALES, key="a"))
    other = school.owner.make(path, routine_of(SCALES, key="b"))
    problem_in(school.owner.post(path, routine_of(SCALES, key="a")), "taken")
    taken = school.owner.put(f"/v1/routines/{other['id']}", routine_of(SCALES, key="a"), revision=1)
    problem_in(taken, "taken")
    school.owner.make(f"/v1/students/{school.student()['id']}/routines", routine_of(SCALES, key="a"))


WRONG: list[tuple[dict[str, Any], list[str]]] = [
    ({}, ["/routine"]),
    (routine_of(SCALES, circumstances={"minutes": 10}), ["/circumstances"]),
    (routine_of(SCALES, history=[]), ["/history"]),
    (routine_of(SCALES, locale="English"), ["/locale"]),
    (routine_of(SCALES, instrument="a thing"), ["/instrument"]),
    (routine_of(SCALES, SCALES), ["/routine/blocks/0/tasks/0/id", "/routine/blocks/0/tasks/1/id"]),
    (
        routine_of(
            {"title": "No minutes"}, {"minutes": 3}, {"title": "Scales", "minutes": 3, "settings": {"a": 1}}
        ),
        ["/routine/blocks/0/tasks/0/minutes"],
    ),
    (routine_of({"exercise": "nothing.known", "minutes": 3}), ["/routine/blocks/0/tasks/0/exercise"]),
    (routine_of({**SCALES, "stage_since": "2027-01-01"}), ["/routine/blocks/0/tasks/0/stage_since"]),
]


@pytest.mark.parametrize(("body", "wrong"), WRONG)
def test_what_no_plan_takes_is_not_stored(
    school: SchoolOfTest, path: str, body: dict[str, Any], wrong: list[str]
) -> None:
    problem = problem_in(school.owner.post(path, body), "invalid-input")
    assert pointers(problem) == wrong
    assert school.owner.get(path).json()["routines"] == []
    made = school.owner.make(path, routine_of(SCALES))
    where = f"/v1/routines/{made['id']}"
    assert pointers(problem_in(school.owner.put(where, body, revision=1), "invalid-input")) == wrong
    assert school.owner.get(where).json() == made


def test_a_share_that_is_not_short_is_refused(school: SchoolOfTest, path: str) -> None:
    problem_in(school.owner.post(path, routine_of(SCALES, policy={"share": 0.8})), "not-short")


def test_settings_are_those_of_the_loaded_exercise(catalogue_school: SchoolOfTest) -> None:
    school = catalogue_school
    path = f"/v1/students/{school.student()['id']}/routines"
    exercise = load_instruments().exercises[0]
    task = {"exercise": exercise.id, "minutes": 5}
    made = school.owner.make(path, routine_of(task))
    assert list(ids_of(made)) == [exercise.id.replace(".", "-")]
    body = routine_of({**task, "settings": {"nonsense": 1}}, {"exercise": "piano.nothing", "minutes": 5})
    problem = problem_in(school.owner.post(path, body), "invalid-input")
    assert pointers(problem) == [
        "/routine/blocks/0/tasks/0/settings/nonsense",
        "/routine/blocks/0/tasks/1/exercise",
    ]


def test_open_questions_may_stay(school: SchoolOfTest, path: str) -> None:
    body = {"routine": {"blocks": [{"title": "Something", "minutes": 30}]}}
    made = school.owner.make(path, body)
    sent = {"routine": made["routine"]}
    assert school.owner.post("/v1/specificity-checks", sent).json()["specific"] is False


def test_what_is_due_may_be_stored_without_a_day(school: SchoolOfTest, path: str) -> None:
    school.owner.make(path, routine_of({**SCALES, "due": "2027-04-01"}))


def test_facts_about_a_body_are_stored_where_the_school_keeps_them(school: SchoolOfTest, path: str) -> None:
    body = routine_of(SCALES, learner={"level": "beginner", "limits": {"widest_interval_semitones": 9}})
    pointer = "/learner/limits/widest_interval_semitones"
    problem = problem_in(school.owner.post(path, body), "invalid-input")
    assert pointers(problem) == [pointer]
    assert "keeps_health_facts" in problem["errors"][0]["accepted"]
    made = school.owner.make(path, routine_of(SCALES))
    where = f"/v1/routines/{made['id']}"
    assert pointers(problem_in(school.owner.put(where, body, revision=1), "invalid-input")) == [pointer]
    document = school.owner.get(f"{where}/export").json() | {"learner": body["learner"]}
    assert pointers(problem_in(school.owner.post(f"{path}/imports", document), "invalid-input")) == [pointer]
    schools = {"name": "Music school by the river", "keeps_health_facts": True}
    assert school.owner.put(f"/v1/schools/{school.id}", schools, revision=1).status_code == 200
    stored = school.owner.make(path, body)
    assert stored["learner"]["limits"]["widest_interval_semitones"] == 9
    assert school.owner.make(f"{path}/imports", document)["learner"] == stored["learner"]
    # Kept no longer from here on: the routine can still be archived, as that stores nothing new of a body.
    school.owner.put(f"/v1/schools/{school.id}", {**schools, "keeps_health_facts": False}, revision=2)
    where = f"/v1/routines/{stored['id']}"
    problem_in(school.owner.put(where, body, revision=1), "invalid-input")
    assert school.owner.put(where, {**body, "archived": True}, revision=1).status_code == 200


def test_students_and_guardians_reach_their_own(school: SchoolOfTest, path: str) -> None:
    student_id, other_id = path.split("/")[3], school.student()["id"]
    others = f"/v1/students/{other_id}/routines"
    of_other = f"/v1/routines/{school.owner.make(others, routine_of(SCALES))['id']}"
    student = school.let_in(student=student_id)
    guardian = school.let_in(guardian=school.guardian(student_id)["id"])
    made = student.make(path, routine_of(SCALES))
    where = f"/v1/routines/{made['id']}"
    assert student.put(where, routine_of(WALTZ), revision=1).status_code == 200
    for somebody in (student, guardian):
        for mine in (path, where, f"{where}/revisions", f"{where}/revisions/1", f"{where}/export"):
            assert somebody.get(mine).status_code == 200
        for not_mine in (
            others,
            of_other,
            f"{of_other}/revisions",
            f"{of_other}/revisions/1",
            f"{of_other}/export",
        ):
            problem_in(somebody.get(not_mine), "not-allowed")
        problem_in(somebody.put(of_other, routine_of(WALTZ), revision=1), "not-allowed")
        problem_in(somebody.post(others, routine_of(WALTZ)), "not-allowed")
    problem_in(guardian.put(where, routine_of(WALTZ), revision=2), "not-allowed")
    problem_in(guardian.post(path, routine_of(WALTZ)), "not-allowed")


def test_another_schools_routine_is_nowhere(school: SchoolOfTest) -> None:
    other = school.service.school("Another")
    foreign_path = f"/v1/students/{other.student()['id']}/routines"
    foreign = other.owner.make(foreign_path, routine_of(SCALES))
    where = f"/v1/routines/{foreign['id']}"
    document = other.owner.get(f"{where}/export").json()
    asked = [
        school.owner.get(foreign_path),
        school.owner.post(foreign_path, routine_of(WALTZ)),
        school.owner.post(f"{foreign_path}/imports", document),
        school.owner.get(where),
        school.owner.put(where, routine_of(WALTZ), revision=1),
        school.owner.get(f"{where}/revisions"),
        school.owner.get(f"{where}/revisions/1"),
        school.owner.get(f"{where}/export"),
        school.owner.get(f"/v1/routines/{uuid4()}"),
    ]
    for response in asked:
        problem_in(response, "unknown-id")
    assert other.owner.get(where).json() == foreign
    assert len(other.owner.get(foreign_path).json()["routines"]) == 1


def test_scopes(school: SchoolOfTest, path: str) -> None:
    made = school.owner.make(path, routine_of(SCALES))
    where = f"/v1/routines/{made['id']}"
    reader = school.app("routines.read")
    assert reader.get(where).status_code == 200
    problem_in(reader.put(where, routine_of(WALTZ), revision=1), "not-allowed")
    problem_in(reader.post(path, routine_of(WALTZ)), "not-allowed")
    writer = school.app("routines.change")
    problem_in(writer.get(where), "not-allowed")
    assert writer.put(where, routine_of(WALTZ), revision=1).status_code == 200
    problem_in(As(school.service.api, "bagatelle_x").get(where), "no-token")


def test_the_same_post_twice_makes_one(school: SchoolOfTest, path: str) -> None:
    headers = {"Idempotency-Key": "one"}
    answers = [school.owner.post(path, routine_of(SCALES), headers=headers) for _ in range(2)]
    assert answers[0].status_code == 201
    assert answers[0].content == answers[1].content
    problem_in(school.owner.post(path, routine_of(WALTZ), headers=headers), "key-reused")
    assert len(school.owner.get(path).json()["routines"]) == 1
    both = {
        "json": routine_of(SCALES),
        "headers": {**headers, "Authorization": f"Bearer {school.owner.secret}"},
    }
    both["headers"]["Idempotency-Key"] = "two"
    at_once = school.service.api.send_all([("POST", path, deepcopy(both)) for _ in range(6)])
    assert {answer.status_code for answer in at_once} == {201}
    assert len({answer.content for answer in at_once}) == 1
    assert len(school.owner.get(path).json()["routines"]) == 2
