"""A group at a glance: whose plans stand ready, who has been on short days for long; counts of few are withheld."""

from collections.abc import Iterator
from datetime import timedelta
from typing import Any
from uuid import UUID

import pytest
from bagatelle_service.database.tables import LogEntry
from sqlalchemy import delete

from tests.integration.practised import INSTRUMENTS, ROUTINE, TODAY, Practised
from tests.integration.problem_checks import problem_in
from tests.integration.school import As, SchoolOfTest, service_on

WITHHELD_BELOW = 5
WEEKS, SHORT_WEEKS = 4, 3
SCOPES = ("groups.read", "students.read", "practice.read")


@pytest.fixture
def school(any_database_url: str) -> Iterator[SchoolOfTest]:
    with service_on(any_database_url, instruments=INSTRUMENTS) as service:
        yield service.school()


class Group:
    """Students of one teacher."""

    def __init__(self, school: SchoolOfTest, names: list[str]) -> None:
        self.school = school
        self.students = [Practised(school, name) for name in names]
        self.teacher_id, self.teacher = school.teacher()
        ids = [student.student for student in self.students]
        self.id: str = school.group([self.teacher_id], ids)["id"]
        self.path = f"/v1/groups/{self.id}/glance"

    def glance(self, somebody: As | None = None) -> dict[str, Any]:
        response = (somebody or self.teacher).get(self.path)
        assert response.status_code == 200, response.text
        answer: dict[str, Any] = response.json()
        return answer

    def by_name(self) -> dict[str, dict[str, Any]]:
        return {student["display_name"]: student for student in self.glance()["students"]}


def play(student: Practised, weeks_ago: int, kind: str = "short", **rest: Any) -> UUID:
    """Log something on the Wednesday of a week; this week, of which today is the Monday, is the 0th."""
    return student.log(TODAY - timedelta(weeks=weeks_ago) + timedelta(days=2), "scales", kind=kind, **rest)


def on_short_days(student: Practised, weeks: int) -> None:
    for week in range(1, weeks + 1):
        play(student, week)


def counted(group: Group) -> dict[str, int | None]:
    """What the counts are to be, from the students one by one."""
    shown = group.glance()["students"]
    size = len(shown)
    ready = sum(student["plans"] != "none" for student in shown)
    short = sum(student["short_for_long"] for student in shown)

    def unless_few(count: int) -> int | None:
        return count if min(count, size - count) >= WITHHELD_BELOW else None

    return {
        "students": size if size >= WITHHELD_BELOW else None,
        "plans_ready": unless_few(ready),
        "plans_missing": unless_few(size - ready),
        "short_only": unless_few(short),
        "withheld_below": WITHHELD_BELOW,
    }


def test_two_facts_of_each_in_the_order_of_names(school: SchoolOfTest) -> None:
    group = Group(school, ["zoe", "Anna", "Mira"])
    zoe, anna, _ = group.students
    zoe.prepare()
    on_short_days(anna, SHORT_WEEKS)
    answer = group.glance()
    assert (answer["group"], answer["weeks"], answer["short_weeks"]) == (group.id, WEEKS, SHORT_WEEKS)
    assert answer["students"] == [
        {"student": anna.student, "display_name": "Anna", "plans": "none", "short_for_long": True},
        {
            "student": group.students[2].student,
            "display_name": "Mira",
            "plans": "none",
            "short_for_long": False,
        },
        {"student": zoe.student, "display_name": "zoe", "plans": "ready", "short_for_long": False},
    ]


def test_plans_are_ready_outdated_or_none(school: SchoolOfTest) -> None:
    group = Group(school, ["Anna"])
    (anna,) = group.students
    assert group.by_name()["Anna"]["plans"] == "none"
    anna.prepare()
    assert group.by_name()["Anna"]["plans"] == "ready"
    path = f"/v1/routines/{anna.routine['id']}"
    assert school.owner.put(path, {**ROUTINE, "locale": "en-US"}, 1).status_code == 200
    assert group.by_name()["Anna"]["plans"] == "outdated"
    anna.prepare()
    assert group.by_name()["Anna"]["plans"] == "ready"
    # Of another routine, prepared later, nothing is out of date; of an archived one nothing stands ready.
    other = school.owner.make(f"{anna.path}/routines", ROUTINE)
    assert school.owner.put(path, ROUTINE, 2).status_code == 200
    assert group.by_name()["Anna"]["plans"] == "outdated"
    school.service.clock.go_on(minutes=1)
    assert school.owner.post(f"/v1/routines/{other['id']}/plans", {}).status_code == 200
    assert group.by_name()["Anna"]["plans"] == "ready"
    for routine, revision in ((other["id"], 1), (anna.routine["id"], 3)):
        archived = {**ROUTINE, "archived": True}
        assert school.owner.put(f"/v1/routines/{routine}", archived, revision).status_code == 200
    assert group.by_name()["Anna"]["plans"] == "none"


def test_for_long_is_three_of_the_last_four_whole_weeks(school: SchoolOfTest) -> None:
    group = Group(school, ["Anna"])
    (anna,) = group.students

    def is_long() -> bool:
        found: bool = group.by_name()["Anna"]["short_for_long"]
        return found

    for week in (0, 1, 5, 6):
        play(anna, week)
    play(anna, 2, "free")
    play(anna, 3, seconds=0)
    assert not is_long()
    play(anna, 3, units=("C",), seconds=0)
    assert not is_long()
    # A late log makes it three weeks, and a usual day in one of them makes it two.
    late = play(anna, 4)
    assert is_long()
    play(anna, 4, "usual")
    assert not is_long()
    play(anna, 2)
    assert is_long()

    async def remove() -> None:
        async with school.service.api.storage.write(UUID(school.id)) as session:
            await session.execute(delete(LogEntry).where(LogEntry.kind == "short", LogEntry.id != late))

    school.service.api.run(remove())
    assert not is_long()


@pytest.mark.parametrize(("size", "ready", "short"), [(4, 2, 2), (11, 6, 4), (10, 5, 5)])
def test_counts_of_few_are_withheld(school: SchoolOfTest, size: int, ready: int, short: int) -> None:
    group = Group(school, [f"Student {number}" for number in range(size)])
    for student in group.students[:ready]:
        student.prepare()
    for student in group.students[:short]:
        on_short_days(student, WEEKS)
    counts = group.glance()["counts"]
    assert counts == counted(group)
    if size > 2 * WITHHELD_BELOW - 1:
        assert (counts["plans_ready"], counts["plans_missing"]) == (ready, size - ready)
        assert counts["short_only"] == (short if short >= WITHHELD_BELOW else None)


def test_who_is_archived_is_not_in_it(school: SchoolOfTest) -> None:
    group = Group(school, ["Anna", "Mira"])
    student = group.students[0].student
    body = {"display_name": "Anna", "time_zone": "Europe/Oslo", "archived": True}
    assert school.owner.put(f"/v1/students/{student}", body, 1).status_code == 200
    assert list(group.by_name()) == ["Mira"]


def test_who_sees_it(school: SchoolOfTest) -> None:
    group = Group(school, ["Anna", "Mira"])
    student = group.students[0].student
    for somebody in (school.owner, group.teacher, school.app(*SCOPES)):
        assert len(group.glance(somebody)["students"]) == 2
    _, stranger = school.teacher()
    own = school.let_in(student=student)
    guardian = school.let_in(guardian=school.guardian(student)["id"])
    lacking = [school.app(*(scope for scope in SCOPES if scope != lacked)) for lacked in SCOPES]
    for somebody in (stranger, own, guardian, *lacking):
        problem_in(somebody.get(group.path), "not-allowed")
    problem_in(school.service.school("Another").owner.get(group.path), "unknown-id")


def test_through_an_archived_group_a_teacher_sees_nobody(school: SchoolOfTest) -> None:
    group = Group(school, ["Anna"])
    body = {"name": "Tuesdays", "teachers": [group.teacher_id], "students": [], "archived": True}
    body["students"] = [group.students[0].student]
    assert school.owner.put(f"/v1/groups/{group.id}", body, 1).status_code == 200
    assert group.glance()["students"] == []
    assert len(group.glance(school.owner)["students"]) == 1


def test_reading_it_is_in_the_trail_and_names_nobody(school: SchoolOfTest) -> None:
    group = Group(school, ["Anna"])
    group.glance()
    (entry,) = school.owner.get("/v1/trail?operation=show_glance").json()["entries"]
    assert (entry["actor_role"], entry["subject"]) == ("teacher", None)
