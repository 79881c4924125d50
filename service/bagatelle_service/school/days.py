"""The day: what one student does on one date.

Made from a prepared plan and from what was logged of the days before, then stored with what it was made from, so
that nothing that is logged or prepared later changes it. Sent again with the same, it is the same; with more time
it grows and keeps what stood there; with anything else it is made anew, by whoever names the sheet that is lost.
"""

from collections.abc import Iterable
from datetime import date, datetime, timedelta
from typing import Final
from uuid import UUID

import msgspec
from bagatelle.card.kinds import ask_of, kind_of_day
from bagatelle.engine.reading import errors_of_circumstances
from bagatelle.model.card import CardKind
from bagatelle.model.plan import Notice
from bagatelle.model.request import Circumstances
from bagatelle.model.sheet import Ask
from bagatelle.model.sheet import DaySheet as Sheet
from bagatelle.progress.days import day_of
from bagatelle.wrong_fields import refuse
from msgspec import Struct
from sqlalchemy import ColumnElement, func, select

from bagatelle_service.database.tables import DaySheet, LogEntry, PreparedPlan, School, Student
from bagatelle_service.school.answers import Made, made
from bagatelle_service.school.day_notices import NOT_STORED, notices_of, notices_of_logged
from bagatelle_service.school.errors import ChangedMeanwhileError, WrongDateError
from bagatelle_service.school.fields import IdText, Revision
from bagatelle_service.school.plans_of_day import (
    PlanOfDay,
    choose_plan,
    choose_routine,
    plans_of_student,
)
from bagatelle_service.school.sheet_making import MadeSheet, grow, make_from_logs, read_card, read_made_from
from bagatelle_service.school.work import Work

REACH: Final = timedelta(days=366)
_BY_TIME: Final[frozenset[CardKind]] = frozenset({"usual", "scraps"})
"""Kinds that differ by the time that the day gives and nothing else: a day that grows may go over from one to the
other, and stays what it was begun as."""


class AskedDay(Circumstances, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What one day gives. With nothing given, a quarter of the usual time."""

    routine: IdText | None = None
    """Which routine it is for; else that of the sheet that stands already, else the open one prepared last."""


class DayAnswer(Struct, frozen=True, kw_only=True):
    """What a student does on one date."""

    date: date
    student: UUID
    frozen: bool
    """Whether it is stored as it is. What is not may be another one when it is asked for again."""
    revision: Revision | None
    """Null where it is not stored."""
    made_at: datetime | None
    """When the day's first sheet was stored."""
    routine: UUID
    plan: UUID
    plan_revision: Revision
    sheet: Sheet
    notices: tuple[Notice, ...]
    """What this request came to; the sheet has its own."""


async def show_day(work: Work, student_id: UUID, day: date) -> Made:
    """Show a day's sheet; before there is one, the quarter's, as it would be made now.

    :raises MissingError: where the school has no such student.
    :raises NotAllowedError: where the caller does not reach them.
    :raises NotPreparedError: where there is no sheet and nothing to make it from.
    :raises WrongDateError: where there is no sheet and the date is too far off.
    """
    student = await work.student(student_id)
    its_plan = (PreparedPlan.school_id == DaySheet.school_id) & (PreparedPlan.id == DaySheet.plan_id)
    stored = select(DaySheet, PreparedPlan.routine_id).join(PreparedPlan, its_plan)
    found = (await work.session.execute(stored.where(_of_day(student, day)))).one_or_none()
    if found is not None:
        return _shown(*found)
    _check_date(work, student, day)
    plans = await plans_of_student(work, student.id)
    plan = choose_plan(plans, choose_routine(plans, None), "usual")
    return _not_stored(student, plan, await make_from_logs(work, student.id, plan, day, Ask()))


async def set_day(work: Work, student_id: UUID, day: date, body: AskedDay) -> Made:
    """Make a day's sheet, or take what the day gives now into the one that stands.

    :raises MissingError: where the school has no such student.
    :raises NotAllowedError: where the caller does not reach them.
    :raises InvalidInputError: where the body is wrong.
    :raises WrongDateError: where the date is too far off.
    :raises NotPreparedError: where there is nothing to make it from.
    :raises NoMatchGivenError: where the sheet that stands would be lost, and is not named.
    :raises ChangedMeanwhileError: where another is named than the one that stands.
    """
    student = await work.student(student_id)
    _check_date(work, student, day)
    refuse(errors_of_circumstances(body, ""))
    plans = await plans_of_student(work, student.id)
    row = await work.session.get(DaySheet, (work.school_id, student.id, day), with_for_update=True)
    standing = None if row is None else _plan_of(plans, row)
    named = None if body.routine is None else UUID(body.routine)
    routine_id = choose_routine(plans, named, None if standing is None else standing.routine_id)
    plan = choose_plan(plans, routine_id, kind_of_day(body))
    ask, notices = ask_of(body), tuple(notices_of(body, plan))
    if plan.kind == "resting" and not await _keeps_health_facts(work):
        sheet = await make_from_logs(work, student.id, plan, day, ask)
        return _not_stored(student, plan, sheet, (*notices, NOT_STORED))
    if row is None or standing is None:
        return await _begin(work, student, plan, day, ask, notices)
    if _same_but_time(plan, standing):
        kept = await _kept(work, row, ask)
        if kept:
            return _shown(row, standing.routine_id, notices)
    return await _make_anew(work, row, plan, ask, notices)


def _of_day(student: Student, day: date) -> ColumnElement[bool]:
    return (DaySheet.student_id == student.id) & (DaySheet.day == day)


def _plan_of(plans: Iterable[PlanOfDay], row: DaySheet) -> PlanOfDay:
    """Find the plan of a stored sheet among all of its student's: its revision is the newest, not the sheet's."""
    return next(plan for plan in plans if plan.plan_id == row.plan_id)


def _same_but_time(plan: PlanOfDay, standing: PlanOfDay) -> bool:
    same_kind = plan.kind == standing.kind or {plan.kind, standing.kind} <= _BY_TIME
    return plan.routine_id == standing.routine_id and same_kind


async def _begin(
    work: Work, student: Student, plan: PlanOfDay, day: date, ask: Ask, notices: tuple[Notice, ...]
) -> Made:
    if work.given_revisions is not None and not work.any_revision:
        raise ChangedMeanwhileError("This day has no stored sheet yet. Send it without If-Match.")
    sheet = await make_from_logs(work, student.id, plan, day, ask)
    row = DaySheet(school_id=work.school_id, student_id=student.id, day=day, revision=1, created_at=work.now)
    _write(row, plan, sheet)
    work.session.add(row)
    await work.session.flush()
    return _shown(row, plan.routine_id, notices)


async def _kept(work: Work, row: DaySheet, ask: Ask) -> bool:
    """Keep the sheet that stands, or make it longer; whether either could be done."""
    made_from = read_made_from(row.made_from)
    if ask == made_from.asks[-1]:
        return True
    card = await read_card(work, row.plan_id, row.plan_revision)
    longer = grow(card, made_from, ask)
    if longer is None:
        return False
    if work.given_revisions is not None:
        work.expect(row.revision)
    _write_sheet(row, longer)
    row.revision += 1
    await work.session.flush()
    return True


async def _make_anew(
    work: Work, row: DaySheet, plan: PlanOfDay, ask: Ask, notices: tuple[Notice, ...]
) -> Made:
    work.expect(row.revision)
    sheet = await make_from_logs(work, row.student_id, plan, row.day, ask)
    _write(row, plan, sheet)
    row.revision += 1
    await work.session.flush()
    of_day = (LogEntry.student_id == row.student_id) & (LogEntry.day == row.day)
    logged = select(func.count()).select_from(LogEntry).where(of_day, LogEntry.step.is_not(None))
    count = await work.session.scalar(logged.where(LogEntry.removed_at.is_(None)))
    return _shown(row, plan.routine_id, (*notices, *notices_of_logged(count or 0)))


def _write(row: DaySheet, plan: PlanOfDay, sheet: MadeSheet) -> None:
    row.plan_id, row.plan_revision = plan.plan_id, plan.revision
    _write_sheet(row, sheet)


def _write_sheet(row: DaySheet, sheet: MadeSheet) -> None:
    row.made_from = msgspec.json.encode(sheet.made_from).decode()
    row.body = msgspec.json.encode(sheet.sheet).decode()


def _check_date(work: Work, student: Student, day: date) -> None:
    today = day_of(work.now, student.time_zone)
    if abs(day - today) > REACH:
        raise WrongDateError(
            f"{day} is more than a year from the student's today, which is {today}",
            f"a date from {today - REACH} to {today + REACH}",
        )


async def _keeps_health_facts(work: Work) -> bool:
    return (await work.session.get_one(School, work.school_id)).keeps_health_facts


def _shown(row: DaySheet, routine_id: UUID, notices: tuple[Notice, ...] = ()) -> Made:
    answer = DayAnswer(
        date=row.day,
        student=row.student_id,
        frozen=True,
        revision=row.revision,
        made_at=row.created_at,
        routine=routine_id,
        plan=row.plan_id,
        plan_revision=row.plan_revision,
        sheet=msgspec.json.decode(row.body, type=Sheet),
        notices=notices,
    )
    return made(answer, row.revision)


def _not_stored(
    student: Student, plan: PlanOfDay, made_sheet: MadeSheet, notices: tuple[Notice, ...] = ()
) -> Made:
    answer = DayAnswer(
        date=made_sheet.made_from.date,
        student=student.id,
        frozen=False,
        revision=None,
        made_at=None,
        routine=plan.routine_id,
        plan=plan.plan_id,
        plan_revision=plan.revision,
        sheet=made_sheet.sheet,
        notices=notices,
    )
    return made(answer)
