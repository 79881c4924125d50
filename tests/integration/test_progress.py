"""A student's progress over the API, held against a count of its own."""

from collections import Counter
from collections.abc import Iterator
from datetime import date, timedelta
from typing import Any
from uuid import UUID, uuid4

import pytest
from bagatelle_service.database.tables import LogEntry

from tests.integration.practised import INSTRUMENTS, ROUTINE, TODAY, Practised, days_ago
from tests.integration.problem_checks import pointers, problem_in
from tests.integration.school import SchoolOfTest, service_on
from tests.seeded import seeded


@pytest.fixture
def school(any_database_url: str) -> Iterator[SchoolOfTest]:
    with service_on(any_database_url, instruments=INSTRUMENTS) as service:
        yield service.school()


def fill(student: Practised, seed: int) -> None:
    """Twelve weeks of logs that are drawn: gaps, short and usual days, free playing, days off."""
    chance = seeded(f"practised {seed}")
    units = {"scales": ("C", "G"), "barcarolle": ("part-1", "part-2", "an-old-part"), "sight-reading": ()}
    for days in range(83, -1, -1):
        for _ in range(chance.choice([0, 0, 1, 1, 2])):
            kind = chance.choice(["usual", "short", "short", "free"])
            task = None if kind == "free" else chance.choice([*units])
            done = () if task is None or not units[task] else (chance.choice(units[task]),)
            student.log(days_ago(days), task, kind=kind, seconds=chance.choice([0, 60, 400]), units=done)
    student.take_off(weekdays=[7], spans=[{"first": str(days_ago(40)), "last": str(days_ago(35))}])


def is_off(day: date) -> bool:
    return day.isoweekday() == 7 or days_ago(40) <= day <= days_ago(35)


def counted_continuity(student: Practised, first: date, last: date) -> dict[str, int]:
    """Day by day: what is to stand under `continuity`."""
    kinds: dict[date, set[str]] = {}
    for entry in student.logged:
        if entry.seconds or entry.units:
            kinds.setdefault(entry.day, set()).add(entry.kind)
    days = [first + timedelta(days=number) for number in range((last - first).days + 1)]
    runs, off = [0], 0
    for day in days:
        if day in kinds:
            runs.append(0)
        elif is_off(day):
            off += 1
        elif day != TODAY:
            runs[-1] += 1
    kept = [kinds[day] for day in days if day in kinds]
    usual = sum("usual" in each for each in kept)
    short = sum("short" in each and "usual" not in each for each in kept)
    return {
        "days_kept": len(kept),
        "usual_days": usual,
        "short_days": short,
        "free_days": len(kept) - usual - short,
        "days_off": off,
        "days_open": sum(runs),
        "longest_gap_days": max(runs),
        "current_gap_days": runs[-1],
    }


def counted_weeks(student: Practised, first: date, last: date) -> dict[date, Counter[str]]:
    """Seconds by Monday and area; free playing and what is of no area under names of their own."""
    weeks: dict[date, Counter[str]] = {}
    for entry in student.logged:
        if first <= entry.day <= last and (entry.seconds or entry.units):
            monday = entry.day - timedelta(days=entry.day.weekday())
            name = "free" if entry.kind == "free" else entry.area or "none"
            weeks.setdefault(monday, Counter())[name] += entry.seconds
    return weeks


def shown_weeks(progress: dict[str, Any]) -> dict[date, Counter[str]]:
    return {
        date.fromisoformat(week["monday"]): Counter(
            {area["area"]: area["seconds"] for area in week["areas"]}
            | {"free": week["free_seconds"], "none": week["no_area_seconds"]}
        )
        for week in progress["weeks"]
    }


@pytest.mark.parametrize("seed", [1, pytest.param(2, marks=pytest.mark.slow)])
def test_it_is_what_a_plain_count_gives(school: SchoolOfTest, seed: int) -> None:
    student = Practised(school)
    fill(student, seed)
    for first, last in ((days_ago(83), TODAY), (days_ago(50), days_ago(20)), (days_ago(83), days_ago(83))):
        asked = {} if last == TODAY else {"from": str(first), "to": str(last)}
        progress = student.progress(**asked)["progress"]
        assert (progress["first_day"], progress["last_day"], progress["today"]) == (
            str(first),
            str(last),
            str(TODAY),
        )
        assert progress["continuity"] == counted_continuity(student, first, last)
        assert shown_weeks(progress) == counted_weeks(student, first, last)
        inside = [entry for entry in student.logged if first <= entry.day <= last]
        assert progress["seconds"] == sum(entry.seconds for entry in inside)
        for task, shown in named(student, progress).items():
            own = [entry for entry in inside if entry.task == task and (entry.seconds or entry.units)]
            assert shown["seconds"] == sum(entry.seconds for entry in own)
            assert shown["days"] == len({entry.day for entry in own})
            done = {
                unit: len({entry.day for entry in own if unit in entry.units})
                for unit in {unit for entry in own for unit in entry.units}
            }
            listed = [*shown["units"], *shown["former_units"]]
            assert {unit["unit"]: unit["days"] for unit in listed if unit["days"]} == done
            assert shown["units_covered"] == sum(unit["days"] > 0 for unit in shown["units"])


def named(student: Practised, progress: dict[str, Any]) -> dict[str, Any]:
    """What is shown of each task, by its key."""
    keys = {task_id: key for key, task_id in student.task_ids.items()}
    return {keys[task["task"]]: task for task in progress["tasks"]}


def test_tasks_are_named_as_the_routine_has_them_now(school: SchoolOfTest) -> None:
    student = Practised(school)
    student.log(days_ago(3), "barcarolle", units=("part-1",))
    answer = student.progress()
    assert answer["student"] == student.student
    assert [task["key"] for task in answer["tasks"]] == [task["key"] for task in student.routine["tasks"]]
    assert [task["id"] for task in answer["tasks"]] == [task["task"] for task in answer["progress"]["tasks"]]
    by_key = {task["key"]: task for task in answer["tasks"]}
    assert by_key["scales"]["title"] == "Major scales"
    assert by_key["scales"]["area"] == "technique"
    assert by_key["sight-reading"] == {
        "id": student.task_ids["sight-reading"],
        "routine": student.routine["id"],
        "key": "sight-reading",
        "title": "Sight-reading",
        "area": "sight-reading",
        "current": True,
    }
    shown = named(student, answer["progress"])
    # Twelve keys, in the circle of fifths: the catalogue's own order.
    assert [unit["unit"] for unit in shown["scales"]["units"]][:3] == ["C", "G", "D"]
    assert [unit["unit"] for unit in shown["barcarolle"]["units"]] == [f"part-{n}" for n in range(1, 5)]


def test_a_task_that_is_gone_keeps_its_history(school: SchoolOfTest) -> None:
    student = Practised(school)
    student.log(days_ago(3), "barcarolle", units=("part-1",))
    body = {**ROUTINE, "routine": {"blocks": [{"title": "Scales", "minutes": 10}]}}
    changed = school.owner.put(f"/v1/routines/{student.routine['id']}", body, revision=1)
    assert changed.status_code == 200, changed.text
    answer = student.progress()
    gone = answer["tasks"][-1]
    assert (gone["key"], gone["current"], gone["title"], gone["area"]) == (
        "barcarolle",
        False,
        None,
        "repertoire",
    )
    # Of the others that are gone nothing was logged.
    assert [task["key"] for task in answer["tasks"]] == ["scales", "barcarolle"]
    shown = answer["progress"]["tasks"][-1]
    assert (shown["days"], shown["units"]) == (1, [])
    assert [unit["unit"] for unit in shown["former_units"]] == ["part-1"]


def test_words_are_enough_where_no_plugin_is_left(any_database_url: str) -> None:
    with service_on(any_database_url, instruments=INSTRUMENTS) as service:
        student = Practised(service.school())
        student.log(days_ago(3), "barcarolle", units=("part-1",))
        secret, clock = student.school.owner.secret, service.clock
    with service_on(any_database_url, clock=clock) as service:
        answer = service.api.get(
            f"{student.path}/progress", headers={"Authorization": f"Bearer {secret}"}
        ).json()
    shown = named(student, answer["progress"])
    assert shown["barcarolle"]["units_covered"] == 1
    assert shown["scales"]["units"] == []
    assert [(task["title"], task["area"]) for task in answer["tasks"]] == [
        ("Scales and a piece", None),
        ("Barcarolle in A minor", "repertoire"),
        ("Sight-reading", "sight-reading"),
    ]


def test_days_before_a_student_came_are_no_gap(school: SchoolOfTest) -> None:
    student = Practised(school, weeks=1)
    assert student.progress()["progress"]["first_day"] == str(days_ago(7))
    assert student.progress()["progress"]["continuity"]["days_open"] == 7
    # What was logged on paper before counts, and so do the days since.
    student.log(days_ago(20), "scales")
    progress = student.progress()["progress"]
    assert progress["first_day"] == str(days_ago(20))
    assert (progress["continuity"]["days_kept"], progress["continuity"]["days_open"]) == (1, 19)


def test_a_late_log_changes_it_and_a_removed_one_does_not_count(school: SchoolOfTest) -> None:
    student = Practised(school)
    student.log(days_ago(10), "scales")
    assert student.progress()["progress"]["continuity"]["current_gap_days"] == 9
    student.log(days_ago(4), "scales", seconds=30)
    assert student.progress()["progress"]["continuity"]["current_gap_days"] == 3
    removed = LogEntry(
        id=uuid4(),
        student_id=UUID(student.student),
        units="[]",
        day=days_ago(1),
        kind="short",
        seconds=60,
        revision=2,
        created_at=school.service.clock(),
        removed_at=school.service.clock(),
    )
    student.store(removed)
    assert student.progress()["progress"]["continuity"]["current_gap_days"] == 3


def test_a_day_is_the_students_own(school: SchoolOfTest) -> None:
    """At eight in the evening in UTC it is the next day already east of there (UTC+14 all year, from memory)."""
    student = school.owner.make("/v1/students", {"display_name": "Far", "time_zone": "Pacific/Kiritimati"})
    school.service.clock.go_on(hours=12)
    path = f"/v1/students/{student['id']}/progress"
    assert school.owner.get(path).json()["progress"]["today"] == "2027-03-02"
    assert school.owner.get(f"{path}?to=2027-03-02").status_code == 200


def test_sheets_are_read_with_what_was_done_of_them(school: SchoolOfTest) -> None:
    student = Practised(school)
    student.prepare()
    keys = {task_id: key for key, task_id in student.task_ids.items()}
    for days in range(8, 0, -1):
        path = f"{student.path}/days/{days_ago(days)}"
        sheet = school.owner.put(path, {"minutes": 20}).json()["sheet"]
        steps = [step for step in sheet["steps"] if step["kind"] == "task"]
        assert {step["task"] for step in steps} >= {"scales", "barcarolle"}
        for step in steps:
            if step["task"] != "barcarolle" and step["task"] in keys.values():
                student.log(days_ago(days), step["task"], step=step["id"])
    progress = student.progress()["progress"]
    assert (progress["plans"]["made"], progress["plans"]["begun"], progress["plans"]["finished"]) == (8, 8, 0)
    assert progress["plans"]["kinds"] == [{"plan_kind": "usual", "made": 8, "begun": 8, "finished": 0}]
    skipped = {"task": student.task_ids["barcarolle"], "planned_on": 8, "skipped_on": 8}
    assert progress["plans"]["skipped"] == [skipped]
    # A quarter of the usual 55 minutes, as the design says.
    assert progress["fit"]["plan_seconds"] == 55 * 60 // 4
    assert progress["fit"]["days"] == 8


WRONG_QUERIES = [
    ("to=2027-03-02", "/to", "a day up to 2027-03-01"),
    ("from=2027-02-02&to=2027-02-01", "/from", "a day up to 2027-02-01"),
    ("from=2025-02-28", "/from", "a day from 2025-03-01 on"),
    ("from=yesterday", "/from", "a date"),
    ("since=2027-01-01", "/since", "from, to"),
]


def test_what_is_wrong_is_named(school: SchoolOfTest) -> None:
    student = school.student()["id"]
    for query, pointer, accepted in WRONG_QUERIES:
        problem = problem_in(school.owner.get(f"/v1/students/{student}/progress?{query}"), "invalid-input")
        assert pointers(problem) == [pointer]
        assert problem["errors"][0]["in"] == "query"
        assert problem["errors"][0]["accepted"].startswith(accepted)


def test_two_years_are_shown_and_the_first_day_of_all_is_no_fault(school: SchoolOfTest) -> None:
    student = school.student()["id"]
    for query in ("from=2025-03-01", "to=0001-01-01", "from=0001-01-01&to=0001-01-01"):
        assert school.owner.get(f"/v1/students/{student}/progress?{query}").status_code == 200


def test_who_sees_it(school: SchoolOfTest) -> None:
    student = Practised(school)
    teacher_id, teacher = school.teacher()
    _, stranger = school.teacher()
    school.group([teacher_id], [student.student])
    guardian = school.let_in(guardian=school.guardian(student.student)["id"])
    path = f"{student.path}/progress"
    for somebody in (school.owner, teacher, guardian, school.let_in(student=student.student)):
        assert somebody.get(path).status_code == 200
    problem_in(stranger.get(path), "not-allowed")
    problem_in(school.let_in(student=school.student()["id"]).get(path), "not-allowed")
    problem_in(school.app("students.read").get(path), "not-allowed")
    problem_in(school.service.school("Another").owner.get(path), "unknown-id")


def test_reading_it_is_in_the_trail(school: SchoolOfTest) -> None:
    student = Practised(school)
    student.progress()
    trail = school.owner.get(f"/v1/trail?student={student.student}&operation=show_progress").json()
    assert len(trail["entries"]) == 1
