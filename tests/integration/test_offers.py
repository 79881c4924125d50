"""Small changes: offered, taken or put aside for good, and carried out by whoever changes the routine."""

from collections.abc import Iterator, Sequence
from datetime import date
from typing import Any

import pytest

from tests.integration.practised import INSTRUMENTS, TODAY, Practised, days_ago
from tests.integration.problem_checks import pointers, problem_in
from tests.integration.school import SchoolOfTest, service_on

TAKEN, ASIDE = {"answer": "taken"}, {"answer": "aside"}


@pytest.fixture
def school(any_database_url: str) -> Iterator[SchoolOfTest]:
    with service_on(any_database_url, instruments=INSTRUMENTS) as service:
        yield service.school()


@pytest.fixture
def student(school: SchoolOfTest) -> Practised:
    """Twenty kept days on which the scales met their finish line and nothing else was played."""
    student = Practised(school)
    for days in range(20, 0, -1):
        student.log(days_ago(days), "scales", kind="usual", met=True)
    return student


def offer_of(student: Practised) -> Any:
    """What is offered, or None."""
    return student.progress()["progress"]["offer"]


def answered(student: Practised, key: str, body: dict[str, str] = TAKEN) -> dict[str, Any]:
    response = student.school.owner.put(f"{student.path}/offers/{key}", body)
    assert response.status_code == 200, response.text
    answer: dict[str, Any] = response.json()
    return answer


def patched(content: Any, patch: Sequence[dict[str, Any]]) -> Any:
    """Apply the operation `add` of RFC 6902 to members of objects, as section 4.1 says."""
    for operation in patch:
        assert operation["op"] == "add"
        *parents, name = operation["path"].split("/")[1:]
        place = content
        for part in parents:
            place = place[int(part)] if isinstance(place, list) else place[part]
        place[name] = operation["value"]
    return content


def carried_out(student: Practised, carrying_out: dict[str, Any]) -> dict[str, Any]:
    """Change the routine as the patch says, and show it."""
    assert carrying_out["plan"] is None
    path = f"/v1/routines/{carrying_out['routine']}"
    shown = student.school.owner.get(path).json()
    content = {name: shown[name] for name in ("instrument", "locale", "learner", "policy", "routine")}
    body = patched(content, carrying_out["patch"])
    changed = student.school.owner.put(path, body, carrying_out["revision"])
    assert changed.status_code == 200, changed.text
    answer: dict[str, Any] = changed.json()
    return answer


def test_one_offer_at_a_time_each_but_once(student: Practised) -> None:
    ids = student.task_ids
    keys = []
    while (offer := offer_of(student)) is not None:
        keys.append(offer["key"])
        answered(student, offer["key"], ASIDE if len(keys) == 1 else TAKEN)
    left_out = sorted(f"left-out:{ids[task]}" for task in ("barcarolle", "sight-reading"))
    assert keys == [*left_out, f"next-stage:{ids['scales']}:maintaining"]


def test_an_offer_says_why(student: Practised) -> None:
    answered(student, f"left-out:{student.task_ids['sight-reading']}")
    offer = offer_of(student)
    assert (offer["kind"], offer["task"]) == ("left-out", student.task_ids["barcarolle"])
    assert (offer["change"], offer["evidence"]) == ({"pin": "more"}, {"days": 20})
    assert "Barcarolle in A minor" in offer["message"]


def test_taking_it_changes_nothing_by_itself(student: Practised) -> None:
    path = f"/v1/routines/{student.routine['id']}"
    before = student.school.owner.get(path).json()
    key = f"left-out:{student.task_ids['barcarolle']}"
    answer = answered(student, key)
    assert student.school.owner.get(path).json() == before
    assert (answer["key"], answer["answer"], answer["student"]) == (key, "taken", student.student)
    assert answer["carrying_out"] == {
        "routine": student.routine["id"],
        "plan": None,
        "revision": 1,
        "patch": [{"op": "add", "path": "/routine/blocks/0/tasks/1/pin", "value": "more"}],
    }


def test_the_patch_carries_it_out(student: Practised) -> None:
    stage = answered(student, f"next-stage:{student.task_ids['scales']}:maintaining")["carrying_out"]
    changed = carried_out(student, stage)
    scales = changed["routine"]["blocks"][0]["tasks"][0]
    assert (scales["stage"], scales["stage_since"]) == ("maintaining", str(TODAY))
    pin = answered(student, f"left-out:{student.task_ids['barcarolle']}")["carrying_out"]
    assert carried_out(student, pin)["routine"]["blocks"][0]["tasks"][1]["pin"] == "more"


def test_a_block_without_tasks_gets_the_one_that_it_counted_as(student: Practised) -> None:
    taken = answered(student, f"left-out:{student.task_ids['sight-reading']}")["carrying_out"]
    changed = carried_out(student, taken)
    (task,) = changed["routine"]["blocks"][1]["tasks"]
    assert (task["title"], task["pin"]) == ("Sight-reading", "more")
    # It is the same task, so what was logged stays with it.
    now = {**student.routine["tasks"][2], "pointer": "/routine/blocks/1/tasks/0"}
    assert changed["tasks"] == [*student.routine["tasks"][:2], now]


def test_a_plan_that_is_longer_than_days_were_is_offered_shorter(school: SchoolOfTest) -> None:
    student = Practised(school)
    student.prepare()
    for days in range(30, 0, -1):
        student.log(days_ago(days), "scales", seconds=200)
    offer = offer_of(student)
    assert (offer["kind"], offer["key"]) == ("shorter-plan", f"shorter-plan:{55 * 60 // 4}")
    # 200 of 3300 seconds are 6 hundredths and a bit.
    assert offer["change"] == {"share": 0.06}
    taken = answered(student, offer["key"])["carrying_out"]
    assert carried_out(student, taken)["policy"]["share"] == 0.06


def test_what_was_chosen_for_the_plan_itself_is_changed_there(school: SchoolOfTest) -> None:
    student = Practised(school)
    plan = student.prepare()["usual"]
    choices = {"pins": {"barcarolle": "auto"}, "share": 0.3}
    assert school.owner.put(f"/v1/plans/{plan}", choices, revision=1).status_code == 200
    for days in range(30, 0, -1):
        student.log(days_ago(days), "scales", seconds=200)
    of_plan = {"routine": None, "plan": plan, "revision": 2}
    share = answered(student, f"shorter-plan:{55 * 60 * 3 // 10}")["carrying_out"]
    assert share == {**of_plan, "patch": [{"op": "add", "path": "/share", "value": 0.06}]}
    pin = answered(student, f"left-out:{student.task_ids['barcarolle']}")["carrying_out"]
    assert pin == {**of_plan, "patch": [{"op": "add", "path": "/pins/barcarolle", "value": "more"}]}
    body = patched(patched(choices, share["patch"]), pin["patch"])
    assert school.owner.put(f"/v1/plans/{plan}", body, revision=2).status_code == 200
    # The plan has it now, so it is not offered any more, whatever was answered.
    assert answered(student, f"left-out:{student.task_ids['barcarolle']}")["carrying_out"] is None


def test_offers_stand_on_the_last_weeks_whatever_is_shown(student: Practised) -> None:
    offer = offer_of(student)
    for asked in ({"from": str(TODAY)}, {"to": str(days_ago(40))}, {"from": str(date(2026, 1, 1))}):
        assert student.progress(**asked)["progress"]["offer"] == offer


def test_it_is_said_again_or_otherwise(student: Practised) -> None:
    key = f"left-out:{student.task_ids['barcarolle']}"
    first = answered(student, key)
    student.school.service.clock.go_on(hours=1)
    assert answered(student, key) == first
    other = answered(student, key, ASIDE)
    assert (other["answer"], other["carrying_out"]) == ("aside", None)
    assert other["answered_at"] > first["answered_at"]
    # With the reason gone there is nothing to carry out, and the answer stands.
    student.log(days_ago(1), "barcarolle")
    again = answered(student, key)
    assert (again["answer"], again["carrying_out"]) == ("taken", None)


def test_what_is_not_offered_is_nowhere(student: Practised) -> None:
    ids, owner = student.task_ids, student.school.owner
    for key in (f"left-out:{ids['scales']}", "shorter-plan:825", "nothing", "left-out:" + "a" * 300):
        problem_in(owner.put(f"{student.path}/offers/{key}", TAKEN), "unknown-id")
    key = f"left-out:{ids['barcarolle']}"
    for body in ({}, {"answer": "later"}, {"answer": "taken", "why": "so"}):
        assert pointers(problem_in(owner.put(f"{student.path}/offers/{key}", body), "invalid-input"))


def test_who_answers(student: Practised) -> None:
    school = student.school
    path = f"{student.path}/offers/left-out:{student.task_ids['barcarolle']}"
    teacher_id, teacher = school.teacher()
    _, stranger = school.teacher()
    school.group([teacher_id], [student.student])
    guardian = school.let_in(guardian=school.guardian(student.student)["id"])
    problem_in(guardian.put(path, TAKEN), "not-allowed")
    problem_in(stranger.put(path, TAKEN), "not-allowed")
    problem_in(school.service.school("Another").owner.put(path, TAKEN), "unknown-id")
    for somebody in (teacher, school.let_in(student=student.student)):
        assert somebody.put(path, TAKEN).status_code == 200


def test_two_who_answer_at_once_both_get_an_answer(student: Practised) -> None:
    path = f"{student.path}/offers/left-out:{student.task_ids['barcarolle']}"
    own = student.school.let_in(student=student.student)
    sent = [
        ("PUT", path, {"json": TAKEN, "headers": {"Authorization": f"Bearer {somebody.secret}"}})
        for somebody in (own, student.school.owner, own, student.school.owner)
    ]
    assert [each.status_code for each in student.school.service.api.send_all(sent)] == [200] * 4
