"""Who comes and goes during the year, and what they say of their days."""

from datetime import timedelta
from typing import Any

from tests.integration.problem_checks import pointers, problem_in
from tests.integration.year.founding import codes_for, redeemed
from tests.integration.year.offline import sync_all
from tests.integration.year.phone import free_playing
from tests.integration.year.record import Record
from tests.integration.year.scenario import DRUMS, ERASED, KEYS
from tests.integration.year.school_year import SchoolYear, ok

YEAR_QUERY = {"from": "2027-02-01"}


def plan_days_off(year: SchoolYear) -> None:
    """Half of the school keeps a day of the week free, and says so before it begins."""
    for number, record in enumerate(year.records[::2]):
        record.weekdays_off = (number % 7 + 1,)
        say_days_off(record, 0)


def old_notebook(year: SchoolYear) -> None:
    """A student tells of days before the school had them: their practice begins with these."""
    record = year.record("pupil-10")
    for days in (20, 9, 8):
        entry = free_playing(year.random, record, year.today(record) - timedelta(days=days))
        record.waiting.append(entry)
    sync_all(record, year)


def plan_holidays(year: SchoolYear) -> None:
    """Holidays of different lengths in summer, with the week's free day where there was one."""
    for number, record in enumerate(year.records):
        first = year.today(record) + timedelta(days=5 + number)
        record.spans_off = ((first, first + timedelta(days=7 + number)),)
        say_days_off(record, 1 if record.weekdays_off else 0)


def say_days_off(record: Record, revision: int) -> None:
    spans = [{"first": str(first), "last": str(last)} for first, last in record.spans_off]
    body = {"weekdays": list(record.weekdays_off), "spans": spans}
    ok(record.caller.put(f"{record.path}/days-off", body, revision))


def teacher_leaves(year: SchoolYear) -> None:
    """From one request to the next the teacher's token opens nothing; another one takes the group."""
    leaving, taking = year.teachers[DRUMS], year.teachers[KEYS]
    drummer = year.of_group(DRUMS)[0]
    ok(leaving.get(drummer.path))
    problem_in(taking.get(drummer.path), "not-allowed")
    where = f"/v1/staff/{year.staff[DRUMS]}"
    shown = ok(year.owner.get(where))
    body = {"role": "teacher", "display_name": shown["display_name"], "archived": True}
    ok(year.owner.put(where, body, shown["revision"]))
    for path in (drummer.path, f"{drummer.path}/logs", "/v1/students", "/v1/caller"):
        assert leaving.get(path).status_code == 401
    where = f"/v1/groups/{year.groups[DRUMS]}"
    group = ok(year.owner.get(where))
    body = {"name": DRUMS, "teachers": [year.staff[KEYS]], "students": group["students"]}
    ok(year.owner.put(where, body, group["revision"]))
    ok(taking.get(drummer.path))
    ok(taking.get(f"{drummer.path}/progress"))
    year.teachers[DRUMS] = taking
    year.staff[DRUMS] = year.staff[KEYS]


def phone_is_lost(year: SchoolYear) -> None:
    """A student gets in on another phone by a new code; what waited on the old one comes late, from the new."""
    record = year.record("pupil-08")
    (code,) = codes_for(year, [{"student": record.id}])
    record.caller = redeemed(year, code)


def phones_disagree(year: SchoolYear) -> None:
    """An old phone that says otherwise what was said is told so, and nothing of what it sends is stored."""
    record = year.record("pupil-03")
    entry = list(record.known.values())[-1]
    said = {"id": entry.id, **entry.body, "seconds": entry.seconds + 1}
    new = {
        "id": "6a1f6d0e-7a53-4c5e-9a1c-0d0f5f3b8c21",
        "day": str(year.today(record)),
        "kind": "free",
        "seconds": 60,
    }
    problem = problem_in(
        record.caller.post(f"{record.path}/logs", {"entries": [new, said]}), "stored-otherwise"
    )
    assert pointers(problem) == ["/entries/1"]
    problem_in(record.caller.get(f"{record.path}/logs/{new['id']}"), "unknown-id")


def student_is_erased(year: SchoolYear) -> None:
    """Nothing of the student is in any answer any more, and nothing of the others is otherwise than before."""
    gone = year.record(ERASED)
    sync_all(gone, year)
    group = ok(year.owner.get("/v1/groups"))["groups"]
    exported = ok(year.owner.get(f"{gone.path}/export"))
    before = views_of_others(year, gone)
    shown = ok(year.owner.get(gone.path))
    response = year.owner.delete(gone.path, headers={"If-Match": f'"{shown["revision"]}"'})
    assert response.status_code == 204, response.text
    year.records.remove(gone)
    year.erased = gone
    assert views_of_others(year, gone) == before
    assert gone.caller.get("/v1/caller").status_code == 401
    entry, day = next(iter(gone.known)), next(iter(gone.sheets))
    below = (
        "",
        "/export",
        "/progress",
        "/logs",
        f"/logs/{entry}",
        "/days",
        f"/days/{day}",
        "/days-off",
        "/bundle",
    )
    things = [f"/v1/routines/{gone.routine}", *(f"/v1/plans/{plan}" for plan in gone.plans.values())]
    for path in (*(gone.path + rest for rest in (*below, "/routines", "/guardians")), *things):
        problem_in(year.owner.get(path), "unknown-id")
    lists = ("students", "groups", "staff", "tokens", "invitations", "trail", "erasures")
    views = [f"/v1/{name}?limit=200" for name in lists]
    views += [f"/v1/groups/{each['id']}{rest}" for each in group for rest in ("", "/glance")]
    marks = (gone.id, gone.pupil.key, gone.pupil.name, exported["person"]["pseudonym"], gone.routine)
    for path in views:
        response = year.owner.get(path)
        assert response.status_code == 200, response.text
        assert not [mark for mark in marks if mark in response.text], path
    about = ok(year.owner.get("/v1/trail", params={"subject": exported["person"]["pseudonym"]}))
    assert about["entries"] == []


def views_of_others(year: SchoolYear, gone: Record) -> dict[str, Any]:
    """What is shown of everybody else."""
    return {
        record.id + rest: ok(year.owner.get(record.path + rest, params=query))
        for record in year.records
        if record is not gone
        for rest, query in (
            ("", {}),
            ("/progress", YEAR_QUERY),
            ("/logs", {"limit": "200"}),
            ("/days", {"limit": "200"}),
        )
    }


def answer_offers(year: SchoolYear) -> None:
    """Everybody puts aside what is offered to them, once; it does not come again."""
    for record in year.records:
        offer = ok(record.caller.get(f"{record.path}/progress"))["progress"]["offer"]
        if offer is not None:
            year.offers_answered += 1
            ok(record.caller.put(f"{record.path}/offers/{offer['key']}", {"answer": "aside"}))
            later = ok(record.caller.get(f"{record.path}/progress"))["progress"]["offer"]
            assert later is None or later["key"] != offer["key"]
