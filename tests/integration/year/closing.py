"""The last evening: everything is told, and every number is compared with the test's own count."""

from datetime import date
from typing import Any

import msgspec
from bagatelle.card.sheet import make_sheet
from bagatelle.model.card import Card
from bagatelle.model.sheet import Ask, AskedWindow, MadeFrom

from tests.integration.year.own_count import OwnCount, short_for_long
from tests.integration.year.record import Record, SheetGiven
from tests.integration.year.scenario import BAND
from tests.integration.year.school_year import SchoolYear, ok, without_notices

LEAST_STUDENTS = 5
"""No count of fewer is shown."""
FIRST_DAY = date(2027, 2, 1)


def compare_progress(year: SchoolYear, record: Record) -> None:
    """Everything that progress says, but for its offer, the interval and the plan's own length."""
    counted = OwnCount(record, FIRST_DAY, year.today(record)).progress()
    answer = ok(record.caller.get(f"{record.path}/progress", params={"from": str(FIRST_DAY)}))
    shown = answer["progress"]
    shown["fit"] = {name: shown["fit"][name] for name in counted["fit"]}
    del shown["offer"]
    assert shown == counted
    assert [task["id"] for task in answer["tasks"]] == [task["task"] for task in counted["tasks"]]


def compare_logs(record: Record) -> None:
    """The whole log, page by page, entry by entry."""
    shown = pages(record, f"{record.path}/logs", "entries")
    known = {entry["id"]: entry for entry in shown}
    assert len(known) == len(shown)
    assert {
        entry_id: (
            entry["day"],
            entry["kind"],
            entry["seconds"],
            entry["task"],
            entry["area"],
            set(entry["units"]),
        )
        for entry_id, entry in known.items()
    } == {
        entry.id: (str(entry.day), entry.kind, entry.seconds, entry.task, entry.area, set(entry.units))
        for entry in record.known.values()
    }
    assert [(entry["day"], entry["id"]) for entry in shown] == sorted(
        (entry["day"], entry["id"]) for entry in shown
    )


def compare_sheets(record: Record) -> None:
    """Each sheet is as it was answered last, and comes out again to the byte from what the test itself kept.

    The plan's revision is read over HTTP; when units were last done is the test's own count of that evening.
    """
    listed = pages(record, f"{record.path}/days", "days")
    assert [day["date"] for day in listed] == sorted(str(day) for day in record.sheets)
    cards: dict[tuple[str, int], Card] = {}
    for day, sheet in record.sheets.items():
        response = record.caller.get(f"{record.path}/days/{day}")
        assert without_notices(ok(response)) == sheet.text
        revision = (sheet.plan, sheet.plan_revision)
        if revision not in cards:
            shown = ok(record.caller.get(f"/v1/plans/{sheet.plan}/revisions/{sheet.plan_revision}"))
            cards[revision] = msgspec.convert(shown["card"], Card)
        made = msgspec.json.encode(make_sheet(cards[revision], made_from(sheet)))
        assert b'"sheet":' + made in response.content


def made_from(sheet: SheetGiven) -> MadeFrom:
    return MadeFrom(
        card=f"{sheet.plan}/{sheet.plan_revision}",
        date=sheet.day,
        asks=tuple(map(ask_of_body, sheet.asks)),
        last_done=sheet.last_done,
    )


def ask_of_body(body: dict[str, Any]) -> Ask:
    """What was asked for, in seconds; all minutes of this school are whole or halves."""
    windows = body.get("windows") or ([{"minutes": body["minutes"]}] if "minutes" in body else [])
    return Ask(
        windows=tuple(
            AskedWindow(seconds=int(window["minutes"] * 60), starts_at=window.get("starts_at"))
            for window in windows
        )
    )


def compare_glances(year: SchoolYear) -> None:
    """Each group as its teacher sees it."""
    for name, group in year.groups.items():
        members = sorted(year.of_group(name), key=lambda record: record.pupil.name.casefold())
        short = [short_for_long(record, year.today(record)) for record in members]
        shown = ok(year.teachers[name].get(f"/v1/groups/{group}/glance"))
        assert shown["students"] == [
            {
                "student": record.id,
                "display_name": record.pupil.name,
                "plans": "outdated" if record.pupil.key in year.outdated else "ready",
                "short_for_long": is_short,
            }
            for record, is_short in zip(members, short, strict=True)
        ]
        size = len(members)
        assert shown["counts"] == {
            "students": size if size >= LEAST_STUDENTS else None,
            "plans_ready": None,
            "plans_missing": None,
            "short_only": unless_few(sum(short), size),
            "withheld_below": LEAST_STUDENTS,
        }
        if name == BAND:
            assert shown["counts"]["short_only"] is not None


def check_variety(year: SchoolYear) -> None:
    """The year held everything that it was drawn for, so that no number above is of nothing."""
    sheets = [sheet for record in year.records for sheet in record.sheets.values()]
    entries = [entry for record in year.records for entry in record.known.values()]
    former = {task.id for record in year.records for task in record.tasks if not task.current}
    assert {sheet.kind for sheet in sheets} == {"usual", "scraps", "low-energy", "quiet", "away"}
    assert {entry.kind for entry in entries} == {"usual", "short", "free"}
    seen = {
        "grown": any(len(sheet.asks) > 1 for sheet in sheets),
        "made anew": any(sheet.revision > len(sheet.asks) for sheet in sheets),
        "of a later plan": any(sheet.plan_revision > 1 for sheet in sheets),
        "by step": any(entry.step for entry in entries),
        "short by task": any(entry.kind == "short" and not entry.step for entry in entries),
        "free of no area": any(entry.kind == "free" and entry.area is None for entry in entries),
        "corrected": any(entry.revision > 1 for entry in entries),
        "of a former task": any(entry.task in former for entry in entries),
        "taken back": any(record.removed for record in year.records),
        "offered": year.offers_answered > 0,
    }
    assert [name for name, was_there in seen.items() if not was_there] == []


def unless_few(count: int, size: int) -> int | None:
    """A count is shown where neither it nor what it leaves is of few."""
    return count if min(count, size - count) >= LEAST_STUDENTS else None


def pages(record: Record, path: str, name: str) -> list[dict[str, Any]]:
    """All of a list, page by page."""
    found: list[dict[str, Any]] = []
    query: dict[str, str] = {"limit": "200"}
    while True:
        answer = ok(record.caller.get(path, params=query))
        found += answer[name]
        if answer["next"] is None:
            return found
        query["cursor"] = answer["next"]
