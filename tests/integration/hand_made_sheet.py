"""A day's sheet of a routine, made by hand: two steps of tasks, a warm-up that stands in, and a rest."""

import datetime as dt
from typing import Any
from uuid import UUID

import msgspec
from bagatelle import load_instruments
from bagatelle.model.sheet import DaySheet as SheetBody
from bagatelle.model.sheet import SheetStep, SheetUnit
from bagatelle_service.database.tables import DaySheet
from bagatelle_service.school.routines import find_routine
from bagatelle_service.school.snapshots import Snapshot

from tests.integration.kept_plan import PlanToKeep, keep_plan
from tests.integration.owners_work import work_of
from tests.integration.school import SchoolOfTest

LOADED = load_instruments()
SCALES = next(each for each in LOADED.exercises if each.id == "piano.major-scale")
ROUTINE: dict[str, Any] = {
    "instrument": "piano",
    "routine": {
        "blocks": [
            {
                "title": "All of it",
                "tasks": [
                    {"id": "scales", "exercise": SCALES.id, "minutes": 15, "settings": {"keys": ["C", "G"]}},
                    {
                        "id": "waltz",
                        "title": "Waltz",
                        "minutes": 20,
                        "passages": [
                            {"id": "a", "label": "A", "seconds": 60},
                            {"id": "b", "label": "B", "seconds": 60},
                        ],
                    },
                    {"id": "jam", "title": "Jam on a blues", "minutes": 9},
                ],
            }
        ]
    },
}
OLD_VERSION = {"name": LOADED.plugin_of(SCALES.id).name, "version": "0.0.7", "hash": "f" * 64}
WARM_UP_STEP, SCALES_STEP, WALTZ_STEP, REST_STEP = "_warm-up.1.1", "scales.1.1", "waltz.1.1", "rest.1"


def step(step_id: str, task: str | None, area: Any, *units: str) -> SheetStep:
    return SheetStep(
        id=step_id,
        kind="rest" if task is None else "task",
        window=0,
        seconds=120,
        task=task,
        area=area,
        title="Something",
        what="Something",
        units=tuple(SheetUnit(unit=unit, what=unit, how_much="once") for unit in units),
        how="slowly",
        done_when="it is done",
    )


def sheet_body(day: dt.date) -> SheetBody:
    return SheetBody(
        kind="usual",
        card="x",
        date=day,
        locale="en-GB",
        windows=(),
        steps=(
            step(WARM_UP_STEP, "_warm-up", "warm-up", "time"),
            step(SCALES_STEP, "scales", "technique", "G", "C"),
            step(REST_STEP, None, None),
            step(WALTZ_STEP, "waltz", "repertoire", "b"),
        ),
        planned_seconds=360,
        cautions=(),
        notices=(),
    )


def keep_sheet(school: SchoolOfTest, routine: dict[str, Any], day: dt.date) -> None:
    """Store the sheet of a day, made from a plan of the routine's first revision and a plugin of long ago."""
    plan = PlanToKeep(
        routine_revision=1,
        kind="usual",
        card=b"{}",
        made_with=msgspec.json.encode({"engine": "0", "policy": "0", "plugins": [OLD_VERSION]}).decode(),
        choices="{}",
        snapshot=Snapshot(hash="0" * 64, body=b"{}"),
    )

    async def keep() -> None:
        async with school.service.api.storage.write(UUID(school.id)) as session:
            work = work_of(school, session)
            row = await keep_plan(work, await find_routine(work, UUID(routine["id"])), plan)
            session.add(
                DaySheet(
                    school_id=UUID(school.id),
                    student_id=UUID(routine["student"]),
                    day=day,
                    plan_id=row.id,
                    plan_revision=row.revision,
                    made_from="{}",
                    body=msgspec.json.encode(sheet_body(day)).decode(),
                    revision=1,
                    created_at=work.now,
                )
            )

    school.service.api.run(keep())


def change_sheet(school: SchoolOfTest, routine: dict[str, Any], day: dt.date) -> None:
    """Make the sheet of a day anew, without any step."""

    async def change() -> None:
        async with school.service.api.storage.write(UUID(school.id)) as session:
            row = await session.get_one(DaySheet, (UUID(school.id), UUID(routine["student"]), day))
            empty = msgspec.structs.replace(sheet_body(day), steps=())
            row.body = msgspec.json.encode(empty).decode()
            row.revision += 1

    school.service.api.run(change())
