"""A student who practises: a routine with its plans, and logs, made beneath HTTP where no operation is tried."""

import json
from datetime import date, timedelta
from typing import Any
from uuid import UUID, uuid4

from bagatelle import load_instruments
from bagatelle_service.database.tables import DaysOff, LogEntry
from msgspec import Struct

from tests.integration.school import SchoolOfTest

INSTRUMENTS = load_instruments()
TODAY = date(2027, 3, 1)
"""A Monday, and the students' own today as the clock of the tests begins."""
TASKS: list[dict[str, Any]] = [
    {"id": "scales", "exercise": "piano.major-scale", "stage": "refining", "minutes": 15},
    {
        "id": "barcarolle",
        "title": "Barcarolle in A minor",
        "area": "repertoire",
        "stage": "learning",
        "minutes": 30,
        "manner": "at tempo",
        "done_when": "twice in a row without a stop",
        "passages": [
            {"id": f"part-{number}", "label": f"part {number}", "bars": 8, "bpm": 80, "passes": 3}
            for number in range(1, 5)
        ],
    },
]
ROUTINE: dict[str, Any] = {
    "instrument": "piano",
    "routine": {
        "blocks": [
            {"title": "Scales and a piece", "tasks": TASKS},
            {"title": "Sight-reading", "area": "sight-reading", "minutes": 10},
        ]
    },
}
AREAS = {"scales": "technique", "barcarolle": "repertoire", "sight-reading": "sight-reading"}


class Logged(Struct, frozen=True, kw_only=True):
    """What was logged, as the test's own count takes it."""

    day: date
    kind: str
    task: str | None
    area: str | None
    seconds: int
    units: tuple[str, ...]


def days_ago(days: int) -> date:
    return TODAY - timedelta(days=days)


class Practised:
    """A student of a school, who came in some time ago."""

    def __init__(self, school: SchoolOfTest, name: str = "Ilse", weeks: int = 12) -> None:
        """Make the student and a routine that many weeks before the tests' today."""
        self.school = school
        self.logged: list[Logged] = []
        clock = school.service.clock
        clock.go_on(weeks=-weeks)
        self.student: str = school.student(name)["id"]
        self.path = f"/v1/students/{self.student}"
        self.routine = school.owner.make(f"{self.path}/routines", ROUTINE)
        clock.go_on(weeks=weeks)

    @property
    def task_ids(self) -> dict[str, str]:
        return {task["key"]: task["id"] for task in self.routine["tasks"]}

    def progress(self, **query: str) -> dict[str, Any]:
        response = self.school.owner.get(f"{self.path}/progress", params=query)
        assert response.status_code == 200, response.text
        answer: dict[str, Any] = response.json()
        return answer

    def prepare(self) -> dict[str, str]:
        """Prepare the routine as it stands; return the plans' ids by kind."""
        response = self.school.owner.post(f"/v1/routines/{self.routine['id']}/plans", {})
        assert response.status_code == 200, response.text
        return {plan["kind"]: plan["plan"] for plan in response.json()["plans"]}

    def log(
        self,
        day: date,
        task: str | None = None,
        *,
        kind: str = "short",
        seconds: int = 300,
        units: tuple[str, ...] = (),
        step: str | None = None,
        met: bool | None = None,
    ) -> UUID:
        """Store an entry; return its id."""
        area = None if task is None else AREAS[task]
        self.logged.append(Logged(day=day, kind=kind, task=task, area=area, seconds=seconds, units=units))
        row = LogEntry(
            id=uuid4(),
            student_id=UUID(self.student),
            task_id=None if task is None else UUID(self.task_ids[task]),
            units=json.dumps(units),
            area=area,
            step=step,
            day=day,
            kind=kind,
            seconds=seconds,
            done_when_met=met,
            revision=1,
            created_at=self.school.service.clock(),
        )
        entry_id = row.id
        self.store(row)
        return entry_id

    def take_off(self, **days_off: Any) -> None:
        """Plan days off."""
        self.store(
            DaysOff(
                student_id=UUID(self.student),
                body=json.dumps(days_off),
                revision=1,
                created_at=self.school.service.clock(),
            )
        )

    def store(self, row: Any) -> None:
        async def add() -> None:
            async with self.school.service.api.storage.write(UUID(self.school.id)) as session:
                row.school_id = UUID(self.school.id)
                session.add(row)

        self.school.service.api.run(add())
