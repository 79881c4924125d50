"""A school for the benchmark of days: students with prepared plans of generated routines, and a year of logs."""

import json
from datetime import UTC, datetime, timedelta
from typing import Any, Final
from uuid import UUID, uuid4

from bagatelle_service.database.tables import LogEntry
from sqlalchemy import insert, text

from tests.bench.routines import generated_request
from tests.integration.prepared_school import INSTRUMENTS, prepare
from tests.integration.school import SchoolOfTest, service_on
from tests.seeded import seeded

ENTRIES: Final = 300
"""Of each student, over the last year."""
ROUTINES: Final = 8
"""Different ones; students have them by turns."""


class DaySchool:
    """What the load needs to know of it."""

    def __init__(self, url: str, students: int) -> None:
        """Make it on an empty database."""
        with service_on(url, instruments=INSTRUMENTS, requests_a_minute=1_000_000) as service:
            school = service.school()
            self.secret = school.owner.secret
            self.students = [self._student(school, number) for number in range(students)]
            service.api.run(_gather_statistics(school))

    def _student(self, school: SchoolOfTest, number: int) -> str:
        student: str = school.student()["id"]
        request = generated_request(number % ROUTINES, INSTRUMENTS)
        fields = ("instrument", "learner", "routine")
        routine = school.owner.make(
            f"/v1/students/{student}/routines", {name: request[name] for name in fields}
        )
        prepare(school, routine)
        school.service.api.run(_log(school, routine, number))
        return student


async def _log(school: SchoolOfTest, routine: dict[str, Any], number: int) -> None:
    random, today = seeded(f"logs {number}"), datetime.now(UTC).date()
    rows = []
    for place in range(ENTRIES):
        task = random.choice(routine["tasks"])
        rows.append(
            {
                "school_id": UUID(school.id),
                "id": uuid4(),
                "student_id": UUID(routine["student"]),
                "task_id": UUID(task["id"]),
                "routine_id": UUID(routine["id"]),
                "routine_revision": 1,
                "units": json.dumps(random.sample(("C", "G", "D", "A", "F", "passage-1", "passage-2"), 3)),
                "day": today - timedelta(days=place * 365 // ENTRIES),
                "kind": "short",
                "seconds": 300,
                "revision": 1,
                "created_at": school.service.clock(),
            }
        )
    async with school.service.api.storage.write(UUID(school.id)) as session:
        await session.execute(insert(LogEntry), rows)


async def _gather_statistics(school: SchoolOfTest) -> None:
    async with school.service.api.storage.write(UUID(school.id)) as session:
        await session.execute(text("ANALYZE"))
