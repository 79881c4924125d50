"""Two editors of one thing: one of them is told that it was changed meanwhile, one after the other or at once."""

from typing import Any

from tests.integration.problem_checks import problem_in
from tests.integration.school import SchoolOfTest

TASKS = ({"id": "scales", "title": "Scales", "minutes": 10}, {"id": "waltz", "title": "Waltz", "minutes": 9})
EDITORS = 8


def routine_of(*tasks: dict[str, Any]) -> dict[str, Any]:
    return {"routine": {"blocks": [{"title": "All of it", "tasks": list(tasks)}]}}


def put_by(school: SchoolOfTest, path: str, body: dict[str, Any], revision: int) -> tuple[str, str, Any]:
    headers = {"If-Match": f'"{revision}"', "Authorization": f"Bearer {school.owner.secret}"}
    return ("PUT", path, {"json": body, "headers": headers})


def test_one_after_the_other(school: SchoolOfTest) -> None:
    student = school.student()["id"]
    made = school.owner.make(f"/v1/students/{student}/routines", routine_of(*TASKS))
    where = f"/v1/routines/{made['id']}"
    first = school.owner.put(where, routine_of(TASKS[0]), revision=1)
    assert first.status_code == 200
    problem = problem_in(school.owner.put(where, routine_of(TASKS[1]), revision=1), "changed-meanwhile")
    assert '"2"' in problem["detail"]
    assert school.owner.get(where).json() == first.json()
    assert len(school.owner.get(f"{where}/revisions").json()["revisions"]) == 2


def test_at_once(school: SchoolOfTest) -> None:
    student = school.student()["id"]
    made = school.owner.make(f"/v1/students/{student}/routines", routine_of(*TASKS))
    where = f"/v1/routines/{made['id']}"
    for revision in (1, 2, 3):
        bodies = [routine_of({**TASKS[0], "minutes": 10 + number}) for number in range(EDITORS)]
        answers = school.service.api.send_all([put_by(school, where, body, revision) for body in bodies])
        won = [answer for answer in answers if answer.status_code == 200]
        assert len(won) == 1, [answer.text for answer in answers]
        for answer in answers:
            if answer is not won[0]:
                problem_in(answer, "changed-meanwhile")
        assert school.owner.get(where).json() == won[0].json()
        assert won[0].json()["revision"] == revision + 1
    assert len(school.owner.get(f"{where}/revisions").json()["revisions"]) == 4


def test_two_of_one_group_at_once(school: SchoolOfTest) -> None:
    students = [school.student()["id"] for _ in range(EDITORS)]
    where = f"/v1/groups/{school.owner.make('/v1/groups', {'name': 'Tuesdays'})['id']}"
    bodies = [{"name": "Tuesdays", "students": [student]} for student in students]
    answers = school.service.api.send_all([put_by(school, where, body, 1) for body in bodies])
    won = [answer for answer in answers if answer.status_code == 200]
    assert len(won) == 1, [answer.text for answer in answers]
    assert sorted(answer.status_code for answer in answers) == [200] + [412] * (EDITORS - 1)
    assert school.owner.get(where).json() == won[0].json()
