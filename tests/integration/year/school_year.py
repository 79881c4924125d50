"""The year as it is played: the service, its clock, its people, and what was sent of each student."""

import json
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import httpx
from bagatelle_service.signing import make_signing_key

from tests.integration.school import BEGINNING, As, Clock, SchoolOfTest, Service
from tests.integration.year.record import Record, SheetGiven, StepGiven, TaskHad
from tests.integration.year.scenario import (
    AREAS,
    EVENING_HOURS,
    OPEN_UNIT,
    OWN_UNITS,
    instruments,
    local_day,
)
from tests.seeded import seeded


class SchoolYear:
    """One school, from its making on."""

    def __init__(self, database_url: str, folder: Path) -> None:
        self.clock = Clock()
        self.random = seeded("a year of the school by the lake")
        self.records: list[Record] = []
        self.erased: Record | None = None
        self.teachers: dict[str, As] = {}
        self.staff: dict[str, str] = {}
        self.groups: dict[str, str] = {}
        self.outdated: set[str] = set()
        """Keys of the students whose plans were made from what is not so any more."""
        self.offers_answered = 0
        self._database_url = database_url
        self._key_file = folder / "signing-key.pem"
        make_signing_key(self._key_file)
        self.service = self._service("1.0.0")
        self.school: SchoolOfTest = self.service.school("School by the lake")
        self.owner = self.school.owner

    def _service(self, kazoo_version: str) -> Service:
        return Service(
            self._database_url,
            self.clock,
            instruments(kazoo_version),
            signing_key_file=str(self._key_file),
            requests_a_minute=1_000_000,
        )

    def restart(self, kazoo_version: str) -> None:
        """Stop the service, and start it on the same database with another version of a plugin."""
        self.service.api.close()
        self.service = self._service(kazoo_version)
        callers = [record.caller for record in self.records]
        for caller in (self.owner, *self.teachers.values(), *callers):
            caller.api = self.service.api

    def to_evening(self, number: int) -> None:
        """Go on to the evening of a day, the first being 0."""
        self.clock.time = BEGINNING + timedelta(days=number, hours=EVENING_HOURS)

    def today(self, record: Record) -> date:
        day: date = local_day(self.clock(), record.pupil.time_zone)
        return day

    def record(self, key: str) -> Record:
        (found,) = (record for record in self.records if record.pupil.key == key)
        return found

    def of_group(self, name: str) -> list[Record]:
        return [record for record in self.records if name in record.pupil.groups]

    def close(self) -> None:
        self.service.api.close()

    def read_routine(self, record: Record) -> dict[str, Any]:
        """Look at a student's routine, and note which tasks came in and went today."""
        shown: dict[str, Any] = ok(self.owner.get(f"/v1/routines/{record.routine}"))
        ids = [task["id"] for task in shown["tasks"]]
        had = {task.id: task for task in record.tasks}
        former = [task for task in record.tasks if task.id not in ids]
        for task in former:
            task.current = False
        now = [
            had.get(task["id"])
            or TaskHad(
                id=task["id"],
                key=task["key"],
                area=AREAS[task["key"]],
                since=self.today(record),
                units=OWN_UNITS.get(task["key"], (OPEN_UNIT,)),
            )
            for task in shown["tasks"]
        ]
        record.tasks = [*former, *now]
        return shown

    def prepare(self, **wanted: Any) -> list[dict[str, Any]]:
        """Prepare plans for many, and return the lines of the answer."""
        response = self.owner.post("/v1/preparations", wanted)
        assert response.status_code == 200, response.text
        lines = [json.loads(line) for line in response.text.splitlines()]
        assert [line["line"] for line in lines] == ["routine"] * (len(lines) - 1) + ["sum"]
        assert [line["problem"] for line in lines[:-1]] == [None] * (len(lines) - 1)
        if not wanted.get("dry_run"):
            for line in lines[:-1]:
                self.note_plans(line)
        return lines

    def note_plans(self, prepared: dict[str, Any]) -> None:
        """Note which plans a student has from now on."""
        (record,) = (record for record in self.records if record.id == prepared["student"])
        record.plans = {plan["kind"]: plan["plan"] for plan in prepared["plans"]}
        self.outdated.discard(record.pupil.key)


@contextmanager
def a_school_year(database_url: str, folder: Path) -> Iterator[SchoolYear]:
    year = SchoolYear(database_url, folder)
    try:
        yield year
    finally:
        year.close()


def ok(response: httpx.Response, status: int = 200) -> Any:
    """What an answer says that must be of a status."""
    assert response.status_code == status, response.text
    return response.json() if response.content else None


def without_notices(answer: dict[str, Any]) -> bytes:
    """A day's answer without what is said of the one request."""
    return json.dumps({name: value for name, value in answer.items() if name != "notices"}).encode()


def set_day(record: Record, day: date, body: dict[str, Any], *, anew: bool = False) -> dict[str, Any]:
    """Say what a day gives, and keep what comes of it.

    :param anew: whether the sheet that stands may be lost.
    """
    before = record.sheets.get(day)
    revision = before.revision if anew and before is not None else None
    response = record.caller.put(f"{record.path}/days/{day}", body, revision)
    answer: dict[str, Any] = ok(response)
    if not answer["frozen"]:
        return answer
    asks, last_done = [body], record.last_done(day)
    if before is not None and not anew:
        last_done = before.last_done
        asks = before.asks if answer["revision"] == before.revision else [*before.asks, body]
    sheet = answer["sheet"]
    record.sheets[day] = SheetGiven(
        day=day,
        kind=sheet["kind"],
        seconds=sum(window["seconds"] for window in sheet["windows"]),
        steps=tuple(
            StepGiven(step["id"], _task_of(record, step["task"]))
            for step in sheet["steps"]
            if step["kind"] == "task"
        ),
        plan=answer["plan"],
        plan_revision=answer["plan_revision"],
        revision=answer["revision"],
        text=without_notices(answer),
        asks=asks,
        last_done=last_done,
    )
    return answer


def _task_of(record: Record, key: str) -> str:
    """The stored id of a task that a sheet names by its key; the warm-up that stands in has none."""
    keys = {task.key for task in record.tasks}
    return record.task(key).id if key in keys else key
