"""The school's first day: people, groups, routines and plans."""

from typing import Any

from tests.integration.problem_checks import problem_in
from tests.integration.school import As
from tests.integration.year.record import Record
from tests.integration.year.scenario import (
    BAND,
    DRUMS,
    DRUMS_TABLE,
    KAZOO_PLAYERS,
    KAZOO_ROUTINE,
    KEYS,
    PATTERN_OF_ROUTINES,
    PUPILS,
    keys_line,
    roster,
)
from tests.integration.year.school_year import SchoolYear, ok

CSV, NDJSON = {"Content-Type": "text/csv"}, {"Content-Type": "application/x-ndjson"}


def found(year: SchoolYear) -> None:
    """Set the school up, to the evening before the first day of practice."""
    invite_staff(year)
    take_in_roster(year)
    let_students_in(year)
    give_routines(year)
    prepare_everybody(year)


def invite_staff(year: SchoolYear) -> None:
    """Three teachers come in by codes, each of which opens the door once."""
    names = {KEYS: "Runa Ask", DRUMS: "Teo Brandt", BAND: "Mirela Pop"}
    for group, name in names.items():
        year.staff[group] = year.owner.make("/v1/staff", {"role": "teacher", "display_name": name})["id"]
    wanted = [{"staff": staff_id} for staff_id in year.staff.values()]
    for group, code in zip(year.staff, codes_for(year, wanted), strict=True):
        year.teachers[group] = redeemed(year, code)
        assert year.service.redeem(code).status_code != 201
    for group, staff_id in year.staff.items():
        year.groups[group] = year.owner.make("/v1/groups", {"name": group, "teachers": [staff_id]})["id"]


def take_in_roster(year: SchoolYear) -> None:
    """A roster with two wrong rows is refused whole; the right one is taken, and taken again it changes nothing."""
    where = "/v1/students/imports"
    wrong = problem_in(
        year.owner.send("POST", where, content=roster(wrong=True), headers=CSV), "invalid-input"
    )
    assert [error["pointer"] for error in wrong["errors"]] == ["/rows/3/time_zone", "/rows/8/groups/0"]
    assert ok(year.owner.get("/v1/students"))["students"] == []
    right = roster(wrong=False)
    tried = ok(year.owner.send("POST", f"{where}?dry_run=true", content=right, headers=CSV), 200)
    assert (tried["made"], ok(year.owner.get("/v1/students"))["students"]) == (len(PUPILS), [])
    taken = ok(year.owner.send("POST", where, content=right, headers=CSV), 201)
    assert taken["made"] == len(PUPILS)
    again = ok(year.owner.send("POST", where, content=right, headers=CSV), 201)
    assert (again["made"], again["changed"], again["known"]) == (0, 0, len(PUPILS))
    ids = {row["key"]: row["id"] for row in taken["students"]}
    for pupil in PUPILS:
        record = Record(pupil=pupil, id=ids[pupil.key], caller=year.owner, came_in=year.clock().date())
        record.came_in = year.today(record)
        year.records.append(record)


def let_students_in(year: SchoolYear) -> None:
    codes = codes_for(year, [{"student": record.id} for record in year.records])
    for record, code in zip(year.records, codes, strict=True):
        record.caller = redeemed(year, code)
        problem_in(record.caller.get("/v1/students/" + other_than(year, record).id), "not-allowed")


def give_routines(year: SchoolYear) -> None:
    """By NDJSON, by a table and an assignment, and one by one."""
    where = "/v1/routines/imports"
    lines = "\n".join(keys_line(pupil) for pupil in PUPILS if KEYS in pupil.groups)
    imported = ok(year.owner.send("POST", where, content=lines, headers=NDJSON), 201)["routines"]
    imported += ok(year.owner.send("POST", where, content=DRUMS_TABLE, headers=CSV), 201)["routines"]
    for row in imported:
        year.record(row["student_key"]).routine = row["id"]
    origin = year.record(PATTERN_OF_ROUTINES).routine
    assigned = assign(year, origin, group=year.groups[DRUMS])
    for copy in assigned["copies"]:
        (record,) = (record for record in year.records if record.id == copy["student"])
        is_own = record.pupil.key == PATTERN_OF_ROUTINES
        assert copy["outcome"] == ("own" if is_own else "made")
        record.routine = origin if is_own else copy["routine"]
    for key in KAZOO_PLAYERS:
        record = year.record(key)
        record.routine = year.teachers[BAND].make(f"{record.path}/routines", KAZOO_ROUTINE)["id"]
    for record in year.records:
        year.read_routine(record)


def prepare_everybody(year: SchoolYear) -> None:
    """In one stream; where it is asked for again there is nothing left to do."""
    tried = year.prepare(only="missing", dry_run=True)
    lines = year.prepare(only="missing")
    assert len(tried) == len(lines) == len(PUPILS) + 1
    assert {line["student"] for line in lines[:-1]} == {record.id for record in year.records}
    assert len(year.prepare(only="outdated")) == 1
    for record in year.records:
        learn_units_of_scales(year, record)


def learn_units_of_scales(year: SchoolYear, record: Record) -> None:
    """The keys of the catalogue's scales are the plugin's to say: they are read from the plan, in their order."""
    card = ok(year.owner.get(f"/v1/plans/{record.plans['usual']}"))["card"]
    for task in card["tasks"]:
        units = tuple(unit["id"] for unit in sorted(task["units"], key=lambda unit: unit["place"]))
        known = [each for each in record.current_tasks if each.key == task["id"]]
        for each in known:
            if each.key == "scales":
                each.units = units
            assert sorted(each.units) == sorted(units)


def assign(year: SchoolYear, routine: str, query: str = "", **body: Any) -> dict[str, Any]:
    response = year.owner.post(f"/v1/routines/{routine}/assignments{query}", body)
    answer: dict[str, Any] = ok(response, 200 if query else 201)
    return answer


def codes_for(year: SchoolYear, wanted: list[dict[str, str]]) -> list[str]:
    made = year.owner.make("/v1/invitations", {"invitations": wanted})
    return [invitation["code"] for invitation in made["invitations"]]


def redeemed(year: SchoolYear, code: str) -> As:
    return As(year.service.api, ok(year.service.redeem(code), 201)["secret"])


def other_than(year: SchoolYear, record: Record) -> Record:
    return next(other for other in year.records if other is not record)
