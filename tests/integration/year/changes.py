"""What changes during the year in routines and plans."""

from copy import deepcopy
from datetime import timedelta
from typing import Any

from tests.integration.problem_checks import problem_in
from tests.integration.year.founding import assign
from tests.integration.year.phone import entry_of_task
from tests.integration.year.record import Record
from tests.integration.year.scenario import (
    DRUMS,
    KAZOO_PLAYERS,
    KEYS,
    NEW_AREAS,
    PATTERN_OF_ROUTINES,
    PUPILS,
)
from tests.integration.year.school_year import SchoolYear, ok, set_day

ENCORE = {"id": "encore", "title": "Encore in one page", "stage": "new", "minutes": 10}
CONTENT = ("instrument", "locale", "learner", "policy", "routine")


def change_a_routine(year: SchoolYear) -> None:
    """The teacher puts a piece in, takes the sight-reading out and calls the shapes a matter of tone.

    The plans stay in use, and say that they are outdated. What is logged late is of the area that it had then.
    """
    record = year.record("pupil-01")
    yesterday = year.today(record) - timedelta(days=1)
    for key in ("slow-shapes", "reading"):
        record.waiting.append(entry_of_task(year.random, record.task(key), yesterday, "usual"))
    content = content_of(year, record)
    tasks = content["routine"]["blocks"][1]["tasks"]
    content["routine"]["blocks"][1]["tasks"] = [task for task in tasks if task["id"] != "reading"] + [ENCORE]
    content["routine"]["blocks"][0]["tasks"][0]["area"] = NEW_AREAS["slow-shapes"]
    change(year, record, content, KEYS)
    record.task("slow-shapes").area = NEW_AREAS["slow-shapes"]
    assert reasons(year, record) == {"routine"}
    year.outdated.add(record.pupil.key)
    set_day(record, year.today(record), {"minutes": 12})


def take_the_change(year: SchoolYear) -> None:
    """First it is looked at what would change, then it is taken."""
    record = year.record("pupil-01")
    where = f"/v1/routines/{record.routine}/plans"
    tried = ok(record.caller.post(where, {"dry_run": True}))
    (usual,) = (plan for plan in tried["plans"] if plan["kind"] == "usual")
    assert {"encore", "reading"} <= {difference["task"] for difference in usual["differences"]}
    assert reasons(year, record) == {"routine"}
    year.note_plans(ok(record.caller.post(where, {})))
    assert reasons(year, record) == set()


def choose_for_a_plan(year: SchoolYear) -> None:
    """One plan of one student gets a share, a pin and words of its own; others are left alone."""
    record = year.record("pupil-02")
    where = f"/v1/plans/{record.plans['usual']}"
    shown = ok(record.caller.get(where))
    choices = {"pins": {"gondola": "more"}, "share": 0.2, "wording": {"gondola": {"how": "as if rowing"}}}
    problem_in(record.caller.put(where, choices), "if-match-needed")
    changed = ok(record.caller.put(where, choices, shown["revision"]))
    assert changed["revision"] == shown["revision"] + 1
    (step,) = (task for task in changed["card"]["tasks"] if task["id"] == "gondola")
    assert step["how"] == "as if rowing"


def change_a_copy(year: SchoolYear) -> None:
    """A drummer makes the copied routine their own: less of the march, more of the strokes."""
    record = year.record("pupil-07")
    content = content_of(year, record)
    pad, pieces = content["routine"]["blocks"]
    pieces["tasks"][0]["minutes"] = 15
    pad["tasks"][0]["minutes"] = 12
    change(year, record, content, DRUMS)
    year.outdated.add(record.pupil.key)


def change_late(year: SchoolYear) -> None:
    """Shortly before the end another copy is changed, and nobody prepares it anew."""
    record = year.record("pupil-09")
    content = content_of(year, record)
    content["routine"]["blocks"][1]["tasks"][1]["minutes"] = 9
    change(year, record, content, DRUMS)
    year.outdated.add(record.pupil.key)


def change_the_origin(year: SchoolYear) -> None:
    """What changed in the origin goes to the copies; where a student changed the same, that stays."""
    origin = year.record(PATTERN_OF_ROUTINES)
    content = content_of(year, origin)
    pad, pieces = content["routine"]["blocks"]
    pieces["tasks"][0]["minutes"] = 26
    pad["tasks"][1]["title"] = "Counting while walking"
    change(year, origin, content, DRUMS)
    group = year.groups[DRUMS]
    tried = assign(year, origin.routine, "?dry_run=true", group=group)
    done = assign(year, origin.routine, group=group)
    for answer in (tried, done):
        by_student = {copy["student"]: copy for copy in answer["copies"]}
        taken = {pupil: pointers(by_student[year.record(pupil).id]["taken"]) for pupil in drummers()}
        assert taken["pupil-08"] == taken["pupil-09"] == {"/tasks/march/minutes", "/tasks/counting/title"}
        assert taken["pupil-07"] == {"/tasks/counting/title"}
        (conflict,) = by_student[year.record("pupil-07").id]["conflicts"]
        assert [conflict[name] for name in ("base", "own", "origin", "taken")] == [20, 15, 26, False]
    assert minutes_of(year, "pupil-07") == {"strokes": 12, "counting": 8, "march": 15, "listening": 6}
    assert minutes_of(year, "pupil-08") == {"strokes": 10, "counting": 8, "march": 26, "listening": 6}
    again = assign(year, origin.routine, group=group, take_origin=["/tasks/march/minutes"])
    assert {copy["outcome"] for copy in again["copies"]} == {"own", "unchanged"}
    prepared = year.prepare(only="outdated", group=group)
    assert len(prepared) == len(drummers()) + 2
    for record in year.of_group(DRUMS):
        assert reasons(year, record) == set()


def upgrade_the_kazoo(year: SchoolYear) -> None:
    """Plans made with the plugin as it was stay readable and in use, and say that they are outdated."""
    players = [year.record(key) for key in KAZOO_PLAYERS]
    before = {record.id: ok(record.caller.get(f"/v1/plans/{record.plans['usual']}")) for record in players}
    year.restart("2.0.0")
    for record in players:
        shown = ok(record.caller.get(f"/v1/plans/{record.plans['usual']}"))
        assert shown["card"] == before[record.id]["card"]
        (reason,) = shown["outdated"]
        assert (reason["reason"], reason["about"]) == ("plugin", "kazoo")
        assert (reason["before"].split()[0], reason["now"].split()[0]) == ("1.0.0", "2.0.0")
        year.outdated.add(record.pupil.key)
        set_day(record, year.today(record), {"minutes": 8})
    assert {record.pupil.key for record in year.records if reasons(year, record)} == set(KAZOO_PLAYERS)


def prepare_for_the_kazoo(year: SchoolYear) -> None:
    """Once more for those alone whose plans are outdated; what stood before can still be read."""
    lines = year.prepare(only="outdated")
    assert {line["student"] for line in lines[:-1]} == {year.record(key).id for key in KAZOO_PLAYERS}
    for key in KAZOO_PLAYERS:
        record = year.record(key)
        assert reasons(year, record) == set()
        old, new = (
            ok(record.caller.get(f"/v1/plans/{record.plans['usual']}/revisions/{number}"))["card"]
            for number in (1, 2)
        )
        assert [seconds_of_note(card) for card in (old, new)] == [10, 14]


def seconds_of_note(card: dict[str, Any]) -> int:
    (humming,) = (task for task in card["tasks"] if task["id"] == "humming")
    seconds: int = humming["units"][0]["seconds"]
    return seconds


def drummers() -> list[str]:
    return [pupil.key for pupil in PUPILS if DRUMS in pupil.groups and pupil.key != PATTERN_OF_ROUTINES]


def pointers(places: list[dict[str, Any]]) -> set[str]:
    return {place["pointer"] for place in places}


def minutes_of(year: SchoolYear, key: str) -> dict[str, float]:
    blocks = content_of(year, year.record(key))["routine"]["blocks"]
    return {task["id"]: task["minutes"] for block in blocks for task in block["tasks"]}


def content_of(year: SchoolYear, record: Record) -> dict[str, Any]:
    shown = ok(year.owner.get(f"/v1/routines/{record.routine}"))
    return deepcopy({name: shown[name] for name in (*CONTENT, "key")})


def change(year: SchoolYear, record: Record, content: dict[str, Any], teacher: str) -> None:
    """Have a teacher change a routine, from the revision that is there."""
    where = f"/v1/routines/{record.routine}"
    revision = ok(year.owner.get(where))["revision"]
    problem_in(year.teachers[teacher].put(where, content), "if-match-needed")
    ok(year.teachers[teacher].put(where, content, revision))
    year.read_routine(record)


def reasons(year: SchoolYear, record: Record) -> set[str]:
    """Why a student's plans are outdated."""
    plans = ok(year.owner.get(f"/v1/routines/{record.routine}/plans"))["plans"]
    return {outdated["reason"] for plan in plans for outdated in plan["outdated"]}
