"""The rows of a student's routine, plans and days, in words that can be found again."""

from datetime import datetime
from typing import TYPE_CHECKING, Any

from bagatelle_service.database.tables import (
    AnsweredOffer,
    CatalogueSnapshot,
    DaySheet,
    DaysOff,
    LogEntry,
    PreparedPlan,
    PreparedPlanRevision,
    Routine,
    RoutineRevision,
    StoredTask,
)
from bagatelle_service.school.card_bodies import write_body

if TYPE_CHECKING:
    from tests.integration.whole_student import WholeStudent

PARTS = ("revision", "task", "plan", "choice", "snapshot", "log", "sheet", "made_from", "days_off", "offer")


def plan_body(words: str) -> bytes:
    """What is stored of a plan of some words: long enough for pages of its own, as plans are."""
    long = [f"{words} {number}" for number in range(300)]
    return write_body(str(long).replace("'", '"').encode())


def routine_rows(whole: "WholeStudent", now: datetime) -> list[Any]:
    """Make what the student's routine is, and what its plans are made from."""
    words, routine = whole.wording, {"routine_id": whole.routine_id}
    return [
        Routine(
            id=whole.routine_id, student_id=whole.id, key=f"{whole.key}-routine", revision=2, created_at=now
        ),
        *(
            RoutineRevision(
                **routine, number=number, body=f'{{"title": "{words["revision"]} {number}"}}', created_at=now
            )
            for number in (1, 2)
        ),
        StoredTask(**routine, id=whole.task_id, key=words["task"], created_at=now),
        CatalogueSnapshot(
            hash=whole.snapshot_hash, body=f'{{"exercise": "{words["snapshot"]}"}}', created_at=now
        ),
    ]


def day_rows(whole: "WholeStudent", now: datetime) -> list[Any]:
    """Make what is prepared for the student's days, and what was done on one."""
    words, routine = whole.wording, {"routine_id": whole.routine_id}
    return [
        PreparedPlan(
            **routine, id=whole.plan_id, student_id=whole.id, kind="usual", revision=1, created_at=now
        ),
        PreparedPlanRevision(
            **routine,
            plan_id=whole.plan_id,
            number=1,
            routine_revision=2,
            catalogue_hash=whole.snapshot_hash,
            made_with="{}",
            choices=f'{{"wording": "{words["choice"]}"}}',
            body=plan_body(words["plan"]),
            created_at=now,
        ),
        LogEntry(
            **routine,
            id=whole.log_id,
            student_id=whole.id,
            task_id=whole.task_id,
            routine_revision=2,
            units=f'["{words["log"]}"]',
            day=now.date(),
            kind="short",
            seconds=120,
            revision=1,
            created_at=now,
        ),
        DaySheet(
            student_id=whole.id,
            day=now.date(),
            plan_id=whole.plan_id,
            plan_revision=1,
            made_from=f'{{"from": "{words["made_from"]}"}}',
            body=f'{{"do": "{words["sheet"]}"}}',
            revision=1,
            created_at=now,
        ),
        DaysOff(student_id=whole.id, body=f'{{"note": "{words["days_off"]}"}}', revision=1, created_at=now),
        AnsweredOffer(student_id=whole.id, key=words["offer"], answer="taken", created_at=now),
    ]
