"""Students with prepared plans and logs, made beneath HTTP."""

import json
from collections import Counter
from collections.abc import Sequence
from datetime import date
from functools import cache
from typing import Any
from uuid import UUID, uuid4

import msgspec
from bagatelle import decode_request, load_instruments
from bagatelle.card.kinds import KINDS
from bagatelle.card.preparing import prepare_all
from bagatelle.model.card import Card, CardKind
from bagatelle_service.database.tables import DaySheet, LogEntry
from bagatelle_service.school.routine_document import planning_request
from bagatelle_service.school.routines import find_routine, newest_document
from bagatelle_service.school.snapshots import snapshot_of
from sqlalchemy import select

from tests.integration.kept_plan import PlanToKeep, keep_plan
from tests.integration.owners_work import work_of
from tests.integration.school import SchoolOfTest

INSTRUMENTS = load_instruments()
TODAY = date(2027, 3, 1)
"""The students' own, as the clock of the tests begins."""
ROUTINE: dict[str, Any] = {
    "instrument": "piano",
    "routine": {
        "blocks": [
            {
                "title": "Warm-up and scales",
                "tasks": [
                    {
                        "id": "warm-up",
                        "title": "Slow five-finger shapes",
                        "area": "warm-up",
                        "stage": "maintaining",
                        "strain": "low",
                        "minutes": 6,
                        "manner": "hands together, one shape after another",
                        "done_when": "each shape even once",
                        "passages": [
                            {"id": f"shape-{number}", "label": f"shape {number}", "seconds": 40, "passes": 1}
                            for number in range(1, 6)
                        ],
                    },
                    {"id": "scales", "exercise": "piano.major-scale", "stage": "refining", "minutes": 15},
                ],
            },
            {
                "title": "Pieces",
                "area": "repertoire",
                "tasks": [
                    {
                        "id": "barcarolle",
                        "title": "Barcarolle in A minor",
                        "stage": "refining",
                        "minutes": 30,
                        "manner": "at tempo",
                        "done_when": "twice in a row without a stop",
                        "passages": [
                            {
                                "id": f"part-{number}",
                                "label": f"part {number}",
                                "bars": 8,
                                "bpm": 80,
                                "passes": 3,
                            }
                            for number in range(1, 7)
                        ],
                    },
                    {
                        "id": "march",
                        "title": "March of the ferrymen",
                        "stage": "maintaining",
                        "minutes": 20,
                        "manner": "by heart",
                        "done_when": "once through",
                        "passages": [
                            {
                                "id": f"strain-{number}",
                                "label": f"strain {number}",
                                "bars": 16,
                                "bpm": 96,
                                "passes": 2,
                            }
                            for number in range(1, 5)
                        ],
                    },
                ],
            },
        ]
    },
}


class Prepared:
    """A student with a routine and its plans."""

    def __init__(
        self, school: SchoolOfTest, kinds: Sequence[CardKind] = KINDS, routine: dict[str, Any] = ROUTINE
    ) -> None:
        self.school = school
        self.student: str = school.student()["id"]
        self.routine = school.owner.make(f"/v1/students/{self.student}/routines", routine)
        self.plans = prepare(school, self.routine, kinds)
        self.path = f"/v1/students/{self.student}/days"

    def day(self, day: date = TODAY) -> str:
        return f"{self.path}/{day}"

    def put(self, body: dict[str, Any], day: date = TODAY, revision: int | None = None) -> dict[str, Any]:
        """PUT what must succeed."""
        response = self.school.owner.put(self.day(day), body, revision)
        assert response.status_code == 200, response.text
        answer: dict[str, Any] = response.json()
        return answer

    def get(self, day: date = TODAY) -> dict[str, Any]:
        response = self.school.owner.get(self.day(day))
        assert response.status_code == 200, response.text
        answer: dict[str, Any] = response.json()
        return answer

    def log(self, task: str, units: Sequence[str], day: date, *, step: str | None = None) -> UUID:
        """Log some units of a task."""
        task_id = next(UUID(each["id"]) for each in self.routine["tasks"] if each["key"] == task)
        entry_id, clock = uuid4(), self.school.service.clock

        async def log() -> None:
            async with self.school.service.api.storage.write(UUID(self.school.id)) as session:
                session.add(
                    LogEntry(
                        school_id=UUID(self.school.id),
                        id=entry_id,
                        student_id=UUID(self.student),
                        task_id=task_id,
                        routine_id=UUID(self.routine["id"]),
                        routine_revision=1,
                        units=json.dumps(units),
                        step=step,
                        day=day,
                        kind="short",
                        seconds=300,
                        revision=1,
                        created_at=clock(),
                    )
                )

        self.school.service.api.run(log())
        return entry_id

    def stored(self) -> list[DaySheet]:
        """The student's sheets as they are stored, the earliest first."""

        async def read() -> list[DaySheet]:
            async with self.school.service.api.storage.read(UUID(self.school.id)) as session:
                own = select(DaySheet).where(DaySheet.student_id == UUID(self.student))
                return list(await session.scalars(own.order_by(DaySheet.day)))

        return self.school.service.api.run(read())


def rounds_by_step(answer: dict[str, Any]) -> dict[str, Counter[str]]:
    """How often each unit is played in each step."""
    return {
        step["id"]: Counter({unit["unit"]: unit["times"] for unit in step["units"]})
        for step in answer["sheet"]["steps"]
        if step["kind"] == "task"
    }


def keeps(earlier: dict[str, Any], later: dict[str, Any]) -> bool:
    """Whether each step of a sheet is in a later one with its units, in its window; it may go on for longer."""
    there = rounds_by_step(later)
    windows = [{step["id"]: step["window"] for step in each["sheet"]["steps"]} for each in (earlier, later)]
    return all(
        name in there and rounds <= there[name] and windows[0][name] == windows[1][name]
        for name, rounds in rounds_by_step(earlier).items()
    )


def prepare(
    school: SchoolOfTest, routine: dict[str, Any], kinds: Sequence[CardKind] = KINDS
) -> dict[str, UUID]:
    """Prepare a routine, or prepare it again; return the plans' ids by kind."""

    async def keep() -> dict[str, UUID]:
        async with school.service.api.storage.write(UUID(school.id)) as session:
            work = work_of(school, session)
            row = await find_routine(work, UUID(routine["id"]))
            content = await newest_document(work, row)
            plans: dict[str, UUID] = {}
            for card in _cards_of(msgspec.json.encode(planning_request(content, TODAY)), tuple(kinds)):
                plan = PlanToKeep(
                    routine_revision=row.revision,
                    kind=card.kind,
                    card=msgspec.json.encode(card),
                    made_with=msgspec.json.encode(card.made_with).decode(),
                    choices="{}",
                    snapshot=snapshot_of(content, INSTRUMENTS),
                )
                plans[card.kind] = (await keep_plan(work, row, plan)).id
            return plans

    return school.service.api.run(keep())


# Tests ask for the same ones again and again.
@cache
def _cards_of(request: bytes, kinds: tuple[CardKind, ...]) -> tuple[Card, ...]:
    return prepare_all(decode_request(request), INSTRUMENTS, kinds).cards
