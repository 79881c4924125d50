"""What a student's progress is made from, read from what is stored: this student's rows alone."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from typing import Final
from uuid import UUID

import msgspec
from bagatelle.model.progress import (
    LogEntry,
    PracticeFacts,
    TaskFacts,
)
from bagatelle.policy.progress import ProgressPolicy
from bagatelle.progress.days import day_of
from msgspec import Struct
from sqlalchemy import select

from bagatelle_service.database.tables import Routine, RoutineRevision, Student
from bagatelle_service.progress_question import PlanInUse, ProgressQuestion, RoutineInUse, TaskInUse
from bagatelle_service.school.plan_choices import PlanChoices, read_choices
from bagatelle_service.school.plan_sets import find_routines
from bagatelle_service.school.plans_ready import open_plans, ready_routine
from bagatelle_service.school.practice_rows import (
    StoredTask,
    read_answered,
    read_days_off,
    read_entries,
    read_first_day,
    read_sheets,
    read_tasks,
)
from bagatelle_service.school.routine_document import planning_request, read_document
from bagatelle_service.school.sheet_making import read_card_body
from bagatelle_service.school.work import Work

_LOCALE: Final = "en-GB"
"""Of offers to whom has no routine, and so gets none."""


class AskedStretch(Struct, frozen=True, kw_only=True):
    """Some days in a row, both ends among them."""

    first_day: date
    last_day: date


class GatheredPractice(Struct, frozen=True, kw_only=True):
    """What was read: the question to the engine, and what it need not know."""

    student_id: UUID
    question: ProgressQuestion
    tasks: tuple[StoredTask, ...]
    """Those of the question, in no order."""
    revisions: Mapping[str, int]
    """Of the routines that the student has now, and of the question's plan, by their ids."""


class _PlanInPlace(Struct, frozen=True):
    """The plan that stands ready where a day says nothing."""

    id: UUID
    revision: int
    routine_id: UUID
    choices: PlanChoices

    def in_use(self) -> PlanInUse:
        """Say what the engine asks of it."""
        return PlanInUse(
            id=str(self.id),
            routine=str(self.routine_id),
            pins=self.choices.pins,
            has_share=self.choices.share is not None,
        )


class _CardTimes(Struct, frozen=True):
    """What progress asks of a card."""

    quarter_seconds: int
    usual_seconds: int


def weeks_up_to(last_day: date) -> AskedStretch:
    """The weeks up to a day: what is shown where nobody says more; those up to today are what offers stand on."""
    first = max(last_day.toordinal() - ProgressPolicy().stretch_days + 1, 1)
    return AskedStretch(first_day=date.fromordinal(first), last_day=last_day)


async def gather_practice(work: Work, student: Student, asked: AskedStretch) -> GatheredPractice:
    """Read all that a student's progress over a stretch is made from."""
    today = day_of(work.now, student.time_zone)
    late = weeks_up_to(today)
    first = min(asked.first_day, late.first_day)
    begun = await read_first_day(work, student)
    tasks = await read_tasks(work, student)
    entries = await read_entries(work, student.id, first, today)
    documents = await _routines(work, student.id)
    plan = await _plan_in_place(work, student.id)
    card = None if plan is None else await _card_times(work, plan)
    former = tuple(_former_tasks(tasks, entries, asked))
    facts = PracticeFacts(
        today=today,
        first_day=max(asked.first_day, begun),
        last_day=asked.last_day,
        entries=entries,
        days_off=await read_days_off(work, student.id),
        sheets=await read_sheets(work, student.id, first, today, tasks),
        tasks=former,
        plan_seconds=None if card is None else card.quarter_seconds,
        usual_seconds=None if card is None else card.usual_seconds,
        answered=await read_answered(work, student.id),
    )
    routines = tuple(_in_use(routine, body, today, tasks) for routine, body in documents)
    asked_ids = {task.id for task in former}
    return GatheredPractice(
        student_id=student.id,
        question=ProgressQuestion(
            facts=facts,
            routines=routines,
            plan=None if plan is None else plan.in_use(),
            offers_from=max(late.first_day, begun),
            locale=_locale(routines, plan),
        ),
        tasks=tuple(task for task in tasks if task.current or str(task.id) in asked_ids),
        revisions={str(routine.id): routine.revision for routine, _ in documents}
        | ({} if plan is None else {str(plan.id): plan.revision}),
    )


async def _routines(work: Work, student_id: UUID) -> Sequence[tuple[Routine, str]]:
    """The routines that a student has now, in the order in which they were made, with what they hold."""
    newest = (
        (RoutineRevision.school_id == Routine.school_id)
        & (RoutineRevision.routine_id == Routine.id)
        & (RoutineRevision.number == Routine.revision)
    )
    statement = (
        select(Routine, RoutineRevision.body)
        .join(RoutineRevision, newest)
        .where(Routine.student_id == student_id, Routine.archived_at.is_(None))
        .order_by(Routine.created_at, Routine.id)
    )
    return [(routine, body) for routine, body in await work.session.execute(statement)]


def _in_use(routine: Routine, body: str, today: date, tasks: Iterable[StoredTask]) -> RoutineInUse:
    return RoutineInUse(
        id=str(routine.id),
        request=planning_request(read_document(body), today),
        tasks={
            task.key: TaskInUse(id=str(task.id), since=task.since)
            for task in tasks
            if task.routine_id == routine.id and task.current
        },
    )


def _former_tasks(
    tasks: Iterable[StoredTask], entries: Iterable[LogEntry], asked: AskedStretch
) -> Iterable[TaskFacts]:
    """Tasks that no routine has any more, where anything of them was logged; what they were called is not read."""
    former = {str(task.id): task for task in tasks if not task.current}
    newest: dict[str, LogEntry] = {}
    for entry in entries:
        if entry.task in former and asked.first_day <= entry.day <= asked.last_day:
            known = newest.get(entry.task)
            if known is None or (entry.day, entry.id) > (known.day, known.id):
                newest[entry.task] = entry
    for task_id, entry in sorted(newest.items()):
        task = former[task_id]
        yield TaskFacts(id=task_id, title=task.key, area=entry.area, current=False, since=task.since)


async def _plan_in_place(work: Work, student_id: UUID) -> _PlanInPlace | None:
    own = (Routine.student_id == student_id) & Routine.archived_at.is_(None)
    routine = ready_routine(await find_routines(work, own))
    if routine is None:
        return None
    plan = next((plan for plan in open_plans(routine) if plan.kind == "usual"), None)
    if plan is None:
        return None
    return _PlanInPlace(plan.place.id, plan.place.revision, routine.id, read_choices(plan.choices))


async def _card_times(work: Work, plan: _PlanInPlace) -> _CardTimes:
    return msgspec.json.decode(await read_card_body(work, plan.id, plan.revision), type=_CardTimes)


def _locale(routines: Sequence[RoutineInUse], plan: _PlanInPlace | None) -> str:
    """That of the routine whose plan stands ready, else of the first."""
    by_id = {routine.id: routine.request.locale for routine in routines}
    first = next(iter(by_id.values()), _LOCALE)
    return first if plan is None else by_id.get(str(plan.routine_id), first)
