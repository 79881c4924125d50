"""What a student's progress is made from, read from what is stored: this student's rows alone."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from typing import Final, cast
from uuid import UUID

import msgspec
from bagatelle.model.progress import DaysOff, LogEntry, LogKind, PracticeFacts, SheetMade, SheetStep, TaskFacts
from bagatelle.model.vocabulary import Area
from bagatelle.policy.progress import ProgressPolicy
from bagatelle.progress.days import day_of
from msgspec import Struct
from sqlalchemy import func, select

from bagatelle_service.database import tables
from bagatelle_service.database.tables import AnsweredOffer, PreparedPlan, Routine, RoutineRevision, Student
from bagatelle_service.progress_question import ProgressQuestion, RoutineInUse, TaskInUse
from bagatelle_service.school.plans_of_day import PlanOfDay, plans_of_student
from bagatelle_service.school.routine_document import planning_request, read_document
from bagatelle_service.school.sheet_making import read_card_body
from bagatelle_service.school.work import Work

_LOCALE: Final = "en-GB"
"""Of offers to whom has no routine, and so gets none."""


class AskedStretch(Struct, frozen=True, kw_only=True):
    """Some days in a row, both ends among them."""

    first_day: date
    last_day: date


class StoredTask(Struct, frozen=True, kw_only=True):
    """A task as it is stored, whether its routine still has it or not."""

    id: UUID
    key: str
    routine_id: UUID
    since: date
    current: bool


class GatheredPractice(Struct, frozen=True, kw_only=True):
    """What was read: the question to the engine, and what it need not know."""

    student_id: UUID
    question: ProgressQuestion
    tasks: tuple[StoredTask, ...]
    """Those of the question, in no order."""
    revisions: Mapping[str, int]
    """Of the routines that the student has now, by their ids."""


class _CardTimes(Struct, frozen=True):
    """What progress asks of a card."""

    quarter_seconds: int
    usual_seconds: int


class _Window(Struct, frozen=True):
    seconds: int


class _Step(Struct, frozen=True):
    id: str
    seconds: int
    task: str | None = None


class _Sheet(Struct, frozen=True):
    """What progress asks of a sheet."""

    kind: str
    windows: tuple[_Window, ...]
    steps: tuple[_Step, ...]


def weeks_up_to(last_day: date) -> AskedStretch:
    """The weeks up to a day: what is shown where nobody says more; those up to today are what offers stand on."""
    first = max(last_day.toordinal() - ProgressPolicy().stretch_days + 1, 1)
    return AskedStretch(first_day=date.fromordinal(first), last_day=last_day)


async def gather_practice(work: Work, student: Student, asked: AskedStretch) -> GatheredPractice:
    """Read all that a student's progress over a stretch is made from."""
    today = day_of(work.now, student.time_zone)
    late = weeks_up_to(today)
    first = min(asked.first_day, late.first_day)
    begun = await _first_day(work, student)
    tasks = await _tasks(work, student)
    entries = await _entries(work, student.id, first, today)
    documents = await _routines(work, student.id)
    plans = [plan for plan in await plans_of_student(work, student.id) if plan.is_open]
    card = await _card_times(work, plans)
    former = tuple(_former_tasks(tasks, entries, asked))
    facts = PracticeFacts(
        today=today,
        first_day=max(asked.first_day, begun),
        last_day=asked.last_day,
        entries=entries,
        days_off=await _days_off(work, student.id),
        sheets=await _sheets(work, student.id, first, today, tasks),
        tasks=former,
        plan_seconds=None if card is None else card.quarter_seconds,
        usual_seconds=None if card is None else card.usual_seconds,
        answered=await _answered(work, student.id),
    )
    routines = tuple(_in_use(routine, body, today, tasks) for routine, body in documents)
    main = str(plans[0].routine_id) if plans else None
    asked_ids = {task.id for task in former}
    return GatheredPractice(
        student_id=student.id,
        question=ProgressQuestion(
            facts=facts,
            routines=routines,
            main_routine=main,
            offers_from=max(late.first_day, begun),
            locale=_locale(routines, main),
        ),
        tasks=tuple(task for task in tasks if task.current or str(task.id) in asked_ids),
        revisions={str(routine.id): routine.revision for routine, _ in documents},
    )


async def _first_day(work: Work, student: Student) -> date:
    """The day on which the student came in, or of the first log where that is earlier: none before it is a gap."""
    came_in = day_of(student.created_at, student.time_zone)
    log = tables.LogEntry
    statement = select(func.min(log.day)).where(log.student_id == student.id, log.removed_at.is_(None))
    logged = await work.session.scalar(statement)
    return came_in if logged is None else min(came_in, logged)


async def _tasks(work: Work, student: Student) -> Sequence[StoredTask]:
    task = tables.StoredTask
    own_routine = (Routine.school_id == task.school_id) & (Routine.id == task.routine_id)
    statement = (
        select(
            task.id, task.key, task.routine_id, task.created_at, task.removed_at, Routine.archived_at
        )
        .join(Routine, own_routine)
        .where(Routine.student_id == student.id)
    )
    return [
        StoredTask(
            id=task_id,
            key=key,
            routine_id=routine_id,
            since=day_of(created_at, student.time_zone),
            current=removed_at is None and archived_at is None,
        )
        for task_id, key, routine_id, created_at, removed_at, archived_at in await work.session.execute(
            statement
        )
    ]


async def _entries(work: Work, student_id: UUID, first: date, last: date) -> tuple[LogEntry, ...]:
    log = tables.LogEntry
    statement = select(
        log.id,
        log.day,
        log.kind,
        log.task_id,
        log.area,
        log.seconds,
        log.units,
        log.step,
        log.done_when_met,
    ).where(log.student_id == student_id, log.day >= first, log.day <= last, log.removed_at.is_(None))
    return tuple(
        LogEntry(
            id=str(entry_id),
            day=day,
            kind=cast("LogKind", kind),
            task=None if task_id is None else str(task_id),
            area=cast("Area | None", area),
            seconds=seconds,
            units=msgspec.json.decode(units, type=tuple[str, ...]),
            step=step,
            done_when_met=done_when_met,
        )
        for entry_id, day, kind, task_id, area, seconds, units, step, done_when_met in (
            await work.session.execute(statement)
        )
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


async def _sheets(
    work: Work, student_id: UUID, first: date, last: date, tasks: Iterable[StoredTask]
) -> tuple[SheetMade, ...]:
    """A student's sheets; steps name tasks by keys, which are those of the routine that the sheet was made from."""
    sheet = tables.DaySheet
    own_plan = (PreparedPlan.school_id == sheet.school_id) & (PreparedPlan.id == sheet.plan_id)
    statement = (
        select(sheet.day, sheet.body, PreparedPlan.routine_id)
        .join(PreparedPlan, own_plan)
        .where(sheet.student_id == student_id, sheet.day >= first, sheet.day <= last)
    )
    ids = {(task.routine_id, task.key): str(task.id) for task in tasks}
    return tuple(
        _sheet_made(day, msgspec.json.decode(body, type=_Sheet), routine_id, ids)
        for day, body, routine_id in await work.session.execute(statement)
    )


def _sheet_made(
    day: date, sheet: _Sheet, routine_id: UUID, ids: Mapping[tuple[UUID, str], str]
) -> SheetMade:
    return SheetMade(
        day=day,
        given_seconds=sum(window.seconds for window in sheet.windows),
        plan_kind=sheet.kind,
        # The warm-up that stands in is no task of the routine, and goes by its own name.
        steps=tuple(
            SheetStep(id=step.id, task=ids.get((routine_id, step.task), step.task), seconds=step.seconds)
            for step in sheet.steps
            if step.task is not None
        ),
    )


async def _card_times(work: Work, plans: Sequence[PlanOfDay]) -> _CardTimes | None:
    """Read how long the plan is that stands ready where a day says nothing; None where there is none."""
    usual = (plan for plan in plans if plan.routine_id == plans[0].routine_id and plan.kind == "usual")
    plan = next(usual, None)
    if plan is None:
        return None
    return msgspec.json.decode(await read_card_body(work, plan.plan_id, plan.revision), type=_CardTimes)


async def _days_off(work: Work, student_id: UUID) -> DaysOff:
    row = await work.session.get(tables.DaysOff, (work.school_id, student_id))
    return DaysOff() if row is None else msgspec.json.decode(row.body, type=DaysOff)


async def _answered(work: Work, student_id: UUID) -> frozenset[str]:
    statement = select(AnsweredOffer.key).where(AnsweredOffer.student_id == student_id)
    return frozenset(await work.session.scalars(statement))


def _locale(routines: Sequence[RoutineInUse], main: str | None) -> str:
    """That of the routine whose plan stands ready, else of the first."""
    by_id = {routine.id: routine.request.locale for routine in routines}
    return by_id.get(main or "", next(iter(by_id.values()), _LOCALE))
