"""A routine given to students over the API: own copies, and what changed brought together with their own."""

from typing import Any, Final

import pytest

from tests.integration.problem_checks import pointers, problem_in
from tests.integration.school import As, SchoolOfTest
from tests.integration.test_routines import SCALES, WALTZ, ids_of, routine_of

SONG: Final = {"id": "song", "title": "Song", "minutes": 5}


class Assigned:
    """A routine of a student who stands for the teacher's own, and two students to whom it goes."""

    def __init__(self, school: SchoolOfTest) -> None:
        self.school = school
        self.ilse, self.bo = (school.student(name)["id"] for name in ("Ilse", "Bo"))
        self.home = school.student("Master copies")["id"]
        body = routine_of(SCALES, WALTZ, key="term", instrument="oboe", learner={"level": "beginner"})
        self.origin = school.owner.make(f"/v1/students/{self.home}/routines", body)["id"]
        self.path = f"/v1/routines/{self.origin}/assignments"

    def give(
        self, body: dict[str, Any] | None = None, query: str = "", by: As | None = None
    ) -> list[dict[str, Any]]:
        response = (by or self.school.owner).post(
            f"{self.path}{query}", body or {"students": [self.ilse, self.bo]}
        )
        assert response.status_code == (200 if query else 201), response.text
        answer = response.json()
        assert answer["routine"] == self.origin
        copies: list[dict[str, Any]] = answer["copies"]
        return copies

    def change(self, routine_id: str, *tasks: dict[str, Any], **fields: Any) -> None:
        """Make a new revision of a routine, its tasks in one block that keeps its id."""
        now = self.school.owner.get(f"/v1/routines/{routine_id}").json()
        block = {"id": "all-of-it", "title": "All of it", "tasks": list(tasks)}
        kept = {name: now[name] for name in ("instrument", "locale", "learner", "policy", "key")}
        body = {**kept, "routine": {"blocks": [block]}, **fields}
        response = self.school.owner.put(f"/v1/routines/{routine_id}", body, revision=now["revision"])
        assert response.status_code == 200, response.text

    def tasks(self, routine_id: str) -> dict[str, dict[str, Any]]:
        routine = self.school.owner.get(f"/v1/routines/{routine_id}").json()["routine"]
        return {task["id"]: task for block in routine["blocks"] for task in block["tasks"]}

    def listed(self, by: As | None = None, query: str = "") -> list[dict[str, Any]]:
        copies: list[dict[str, Any]] = (by or self.school.owner).get(f"{self.path}{query}").json()["copies"]
        # Those made at one moment come in the order of their ids.
        return sorted(copies, key=lambda copy: copy["student"] != self.ilse)


@pytest.fixture
def assigned(school: SchoolOfTest) -> Assigned:
    return Assigned(school)


def test_each_student_gets_an_own_copy(assigned: Assigned) -> None:
    school = assigned.school
    assert [copy["routine"] for copy in assigned.give(query="?dry_run=true")] == [None, None]
    assert assigned.listed() == []
    copies = assigned.give()
    assert [(copy["student"], copy["outcome"], copy["revision"]) for copy in copies] == [
        (assigned.ilse, "made", 1),
        (assigned.bo, "made", 1),
    ]
    origin = school.owner.get(f"/v1/routines/{assigned.origin}").json()
    ids = set(ids_of(origin).values())
    for copy in copies:
        made = school.owner.get(f"/v1/routines/{copy['routine']}").json()
        assert (made["student"], made["key"], made["instrument"]) == (copy["student"], "term", "oboe")
        assert made["learner"]["level"] == "beginner"
        assert list(ids_of(made)) == ["scales", "waltz"]
        assert not ids & set(ids_of(made).values())
        ids |= set(ids_of(made).values())
    assert [(copy["behind"], copy["own_changes"]) for copy in assigned.listed()] == [(0, False)] * 2
    assert [copy["outcome"] for copy in assigned.give()] == ["unchanged", "unchanged"]
    entries = school.owner.get(f"/v1/students/{assigned.bo}/export").json()["trail"]
    assert [entry["operation"] for entry in entries].count("assign_routine") == 1


def test_given_again_it_takes_what_the_student_left_alone(assigned: Assigned) -> None:
    ilses, bos = (copy["routine"] for copy in assigned.give())
    ids = ids_of(assigned.school.owner.get(f"/v1/routines/{ilses}").json())
    assigned.change(ilses, {**SCALES, "minutes": 7}, {**WALTZ, "manner": "with the left hand alone"}, SONG)
    assigned.change(assigned.origin, {**SCALES, "minutes": 15, "stage": "refining"}, WALTZ)
    assert [(copy["behind"], copy["own_changes"]) for copy in assigned.listed()] == [(1, True), (1, False)]
    foreseen = assigned.give(query="?dry_run=true")
    given = assigned.give()
    assert [{**copy, "revision": 0} for copy in foreseen] == [{**copy, "revision": 0} for copy in given]
    assert [(copy["outcome"], copy["revision"]) for copy in given] == [("changed", 3), ("changed", 2)]
    assert given[0]["taken"] == [
        {"pointer": "/tasks/scales/stage", "base": None, "own": None, "origin": "refining"}
    ]
    assert given[0]["conflicts"] == [
        {"pointer": "/tasks/scales/minutes", "base": 10, "own": 7, "origin": 15, "taken": False}
    ]
    assert given[1]["conflicts"] == []
    tasks = assigned.tasks(ilses)
    assert list(tasks) == ["scales", "waltz", "song"]
    assert (tasks["scales"]["minutes"], tasks["scales"]["stage"]) == (7, "refining")
    assert tasks["waltz"]["manner"] == "with the left hand alone"
    assert assigned.tasks(bos)["scales"]["minutes"] == 15
    after = ids_of(assigned.school.owner.get(f"/v1/routines/{ilses}").json())
    assert {key: after[key] for key in ids} == ids
    assert [(copy["behind"], copy["own_changes"]) for copy in assigned.listed()] == [(0, True), (0, False)]
    assert [copy["outcome"] for copy in assigned.give()] == ["unchanged", "unchanged"]


def test_the_origins_is_taken_where_that_is_asked_for(assigned: Assigned) -> None:
    copy = assigned.give({"students": [assigned.ilse]})[0]["routine"]
    assigned.change(copy, {**SCALES, "minutes": 7, "stage": "learning"}, {**WALTZ, "minutes": 25})
    assigned.change(assigned.origin, {**SCALES, "minutes": 15, "stage": "refining"})
    wanted = {"students": [assigned.ilse], "take_origin": ["/tasks/scales/minutes", "/tasks/wal"]}
    (given,) = assigned.give(wanted)
    conflicts = {conflict["pointer"]: conflict for conflict in given["conflicts"]}
    assert {pointer: conflict["taken"] for pointer, conflict in conflicts.items()} == {
        "/tasks/scales/minutes": True,
        "/tasks/scales/stage": False,
        "/tasks/waltz": False,
    }
    assert "origin" not in conflicts["/tasks/waltz"]
    assert conflicts["/tasks/waltz"]["own"]["minutes"] == 25
    tasks = assigned.tasks(copy)
    assert (tasks["scales"]["minutes"], tasks["scales"]["stage"]) == (15, "learning")
    assert tasks["waltz"]["minutes"] == 25


def test_all_of_the_origin_can_be_taken(assigned: Assigned) -> None:
    copy = assigned.give({"students": [assigned.ilse]})[0]["routine"]
    assigned.change(copy, {**SCALES, "minutes": 7}, {**WALTZ, "minutes": 25}, SONG)
    assigned.change(assigned.origin, {**SCALES, "minutes": 15})
    assigned.give({"students": [assigned.ilse], "take_origin": [""]})
    # What the student alone has is no conflict.
    assert {key: task["minutes"] for key, task in assigned.tasks(copy).items()} == {"scales": 15, "song": 5}


def test_what_no_plan_takes_leaves_a_copy_as_it_is(assigned: Assigned) -> None:
    copy = assigned.give({"students": [assigned.ilse]})[0]["routine"]
    many = [{"id": f"t{number}", "title": "Own", "minutes": 1} for number in range(150)]
    assigned.change(copy, SCALES, WALTZ, *many)
    others = [{"id": f"o{number}", "title": "New", "minutes": 1} for number in range(150)]
    assigned.change(assigned.origin, SCALES, WALTZ, *others)
    (given,) = assigned.give({"students": [assigned.ilse]})
    assert (given["outcome"], given["revision"]) == ("refused", 2)
    assert given["refused"][0]["pointer"] == "/routine/blocks/0/tasks"
    assert [(one["behind"], one["own_changes"]) for one in assigned.listed()] == [(1, True)]
    # Each side can be planned, both together not: a passage has bars or seconds.
    passage = {"id": "a", "label": "A", "seconds": 60}
    assigned.change(assigned.origin, {**WALTZ, "passages": [passage]})
    (given,) = assigned.give({"students": [assigned.bo]})
    assigned.change(
        given["routine"], {**WALTZ, "passages": [{**passage, "notes": 40, "bpm": 60, "seconds": None}]}
    )
    assigned.change(
        assigned.origin, {**WALTZ, "passages": [{**passage, "bars": 8, "bpm": 60, "seconds": None}]}
    )
    (given,) = assigned.give({"students": [assigned.bo]})
    assert given["outcome"] == "refused"
    assert given["refused"]


def test_a_body_is_one_persons(assigned: Assigned) -> None:
    school = assigned.school
    fields = {"name": "Music school by the river", "keeps_health_facts": True}
    school.owner.put(f"/v1/schools/{school.id}", fields, revision=1)
    learner = {"level": "beginner", "limits": {"widest_interval_semitones": 9}}
    assigned.change(assigned.origin, SCALES, WALTZ, learner=learner)
    copy = assigned.give({"students": [assigned.ilse]})[0]["routine"]
    shown = school.owner.get(f"/v1/routines/{copy}").json()["learner"]
    assert (shown["level"], shown["limits"]["widest_interval_semitones"]) == ("beginner", None)
    own = {"level": "beginner", "limits": {"widest_interval_semitones": 8}}
    assigned.change(copy, SCALES, WALTZ, learner=own)
    assigned.change(assigned.origin, SCALES, WALTZ, learner={**learner, "level": "intermediate"})
    (given,) = assigned.give({"students": [assigned.ilse]})
    assert [change["pointer"] for change in given["taken"]] == ["/learner/level"]
    shown = school.owner.get(f"/v1/routines/{copy}").json()["learner"]
    assert (shown["level"], shown["limits"]["widest_interval_semitones"]) == ("intermediate", 8)


def test_a_group_gets_it(assigned: Assigned) -> None:
    school = assigned.school
    gone = school.student("Gone")
    fields = {"display_name": "Gone", "time_zone": "UTC", "archived": True}
    school.owner.put(f"/v1/students/{gone['id']}", fields, revision=1)
    teacher_id, teacher = school.teacher()
    members = [assigned.ilse, assigned.bo, assigned.home, gone["id"]]
    group = school.group([teacher_id], members)["id"]
    others = school.group([], [assigned.bo], "Others")["id"]
    school.owner.make(f"/v1/students/{assigned.bo}/routines", routine_of(SONG, key="term"))
    given = {copy["student"]: copy for copy in assigned.give({"group": group}, by=teacher)}
    assert {student: copy["outcome"] for student, copy in given.items()} == {
        assigned.ilse: "made",
        assigned.bo: "made",
        assigned.home: "own",
    }
    assert school.owner.get(f"/v1/routines/{given[assigned.bo]['routine']}").json()["key"] is None
    problem_in(teacher.post(assigned.path, {"group": others}), "not-allowed")
    problem_in(school.app("routines.change").post(assigned.path, {"group": group}), "not-allowed")
    alone = school.app("routines.change", "routines.read")
    problem_in(alone.post(assigned.path, {"group": group}), "not-allowed")
    assert alone.post(assigned.path, {"students": [assigned.bo]}).status_code == 201


def test_an_archived_copy_stays(assigned: Assigned) -> None:
    copy = assigned.give({"students": [assigned.ilse]})[0]["routine"]
    now = assigned.school.owner.get(f"/v1/routines/{copy}").json()
    body = {name: now[name] for name in ("instrument", "locale", "learner", "policy", "routine", "key")}
    assigned.school.owner.put(f"/v1/routines/{copy}", {**body, "archived": True}, revision=1)
    assigned.change(assigned.origin, SCALES)
    assert [one["outcome"] for one in assigned.give({"students": [assigned.ilse]})] == ["archived"]
    assert [(one["archived"], one["behind"]) for one in assigned.listed()] == [(True, 1)]


def test_wrong_requests(assigned: Assigned) -> None:
    school = assigned.school
    other = school.service.school("Another").student()["id"]
    wrong: list[tuple[dict[str, Any], list[str]]] = [
        ({}, ["/students"]),
        ({"students": [assigned.ilse], "group": assigned.ilse}, ["/students"]),
        ({"students": [assigned.ilse, assigned.ilse, other]}, ["/students/1", "/students/2"]),
        ({"students": []}, ["/students"]),
        ({"group": assigned.ilse}, ["/group"]),
        ({"students": [assigned.ilse], "take_origin": ["tasks"]}, ["/take_origin/0"]),
    ]
    for body, expected in wrong:
        assert pointers(problem_in(school.owner.post(assigned.path, body), "invalid-input")) == expected
    teacher_id, teacher = school.teacher()
    school.group([teacher_id], [assigned.home])
    problem = problem_in(teacher.post(assigned.path, {"students": [assigned.ilse]}), "invalid-input")
    assert pointers(problem) == ["/students/0"]
    assigned.give()
    assert assigned.listed(by=teacher) == []
    now = school.owner.get(f"/v1/routines/{assigned.origin}").json()
    body = {name: now[name] for name in ("instrument", "locale", "learner", "policy", "routine", "key")}
    school.owner.put(f"/v1/routines/{assigned.origin}", {**body, "archived": True}, revision=1)
    problem_in(school.owner.post(assigned.path, {"students": [assigned.ilse]}), "invalid-input")


def test_two_at_once_make_one_copy(assigned: Assigned) -> None:
    school = assigned.school
    request = {
        "json": {"students": [assigned.ilse]},
        "headers": {"Authorization": f"Bearer {school.owner.secret}"},
    }
    answers = school.service.api.send_all([("POST", assigned.path, request) for _ in range(4)])
    assert {answer.status_code for answer in answers} <= {201, 409, 412}
    assert len(assigned.listed()) == 1


def test_pages_and_an_origin_that_is_erased(assigned: Assigned) -> None:
    school = assigned.school
    copies = assigned.give()
    first = school.owner.get(f"{assigned.path}?limit=1").json()
    rest = school.owner.get(f"{assigned.path}?limit=1&cursor={first['next']}").json()
    assert (len(first["copies"]), len(rest["copies"]), rest["next"]) == (1, 1, None)
    assert school.owner.delete(f"/v1/students/{assigned.home}", headers={"If-Match": "*"}).status_code == 204
    problem_in(school.owner.get(assigned.path), "unknown-id")
    assert school.owner.get(f"/v1/routines/{copies[0]['routine']}").status_code == 200
