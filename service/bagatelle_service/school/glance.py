"""A group at a glance, for staff: whose plans stand ready, and who has been on short days for long.

Students stand in the order of their names, each with two facts and no number: nothing ranks them. Counts are of the
whole list, and none is shown from which something of a few could be told.
"""

from collections.abc import Mapping, Sequence
from datetime import timedelta
from typing import Final, Literal, cast
from uuid import UUID

from bagatelle.model.progress import GroupGlance, LogEntry, LogKind, StudentSummary
from bagatelle.policy.progress import ProgressPolicy
from bagatelle.progress.days import day_of
from bagatelle.progress.glance import group_glance, short_only_weeks
from msgspec import Struct
from sqlalchemy import ColumnElement, select

from bagatelle_service.database import tables
from bagatelle_service.database.tables import GroupStudent, Routine, Student
from bagatelle_service.school.answers import Made, made
from bagatelle_service.school.errors import NotAllowedError
from bagatelle_service.school.groups import find_group
from bagatelle_service.school.plan_sets import RoutineFacts, find_routines
from bagatelle_service.school.plan_versions import LoadedVersions
from bagatelle_service.school.plans_ready import open_plans, ready_routine
from bagatelle_service.school.reach import within_reach
from bagatelle_service.school.roles import Role, Scope
from bagatelle_service.school.work import Work

PlansState = Literal["ready", "outdated", "none"]

_STAFF: Final[frozenset[Role]] = frozenset({"owner", "teacher", "app"})
_NEEDED: Final[frozenset[Scope]] = frozenset({"groups.read", "students.read", "practice.read"})
"""A glance tells something of each of these."""
_NO_UNITS: Final = "[]"


class GlanceStudent(Struct, frozen=True, kw_only=True):
    """One student of the group."""

    student: UUID
    display_name: str
    plans: PlansState
    """Of the routine that was prepared last: `ready`; `outdated`, where one of its plans is (they stay usable); or
    `none`."""
    short_for_long: bool
    """Whether in `short_weeks` of the last `weeks` whole weeks there were short days and nothing of the whole
    routine. A short day is a kept day: it may be the right thing, or the routine too long."""


class GlanceAnswer(Struct, frozen=True, kw_only=True):
    """A group at a glance."""

    group: UUID
    weeks: int
    """So many whole weeks, Monday to Sunday, are looked at; each student's own is not over."""
    short_weeks: int
    students: tuple[GlanceStudent, ...]
    """Those of the group who are not archived, and whom the caller reaches; in the order of their names."""
    counts: GroupGlance
    """Of these students. Outdated plans count as ready, as they are usable."""


async def show_glance(work: Work, group_id: UUID, loaded: LoadedVersions) -> Made:
    """Show a group at a glance.

    :raises NotAllowedError: where the caller is no staff, lacks a scope, or the group is another teacher's.
    :raises MissingError: where the school has no such group.
    """
    group = await find_group(work, group_id)
    _refuse_others(work)
    numbers = ProgressPolicy()
    in_group = select(GroupStudent.student_id).where(GroupStudent.group_id == group.id)
    listed = Student.id.in_(in_group) & Student.archived_at.is_(None) & within_reach(work.caller)
    students = (await work.session.scalars(select(Student).where(listed))).all()
    routines = await _routines(work, listed)
    days = await _kept_days(work, listed, numbers.glance_weeks)
    weeks_of = {
        student.id: short_only_weeks(
            days.get(student.id, ()), day_of(work.now, student.time_zone), numbers.glance_weeks
        )
        for student in students
    }
    state_of = {student.id: _plans_state(routines.get(student.id, ()), loaded) for student in students}
    answer = GlanceAnswer(
        group=group.id,
        weeks=numbers.glance_weeks,
        short_weeks=numbers.short_weeks,
        students=tuple(
            GlanceStudent(
                student=student.id,
                display_name=student.display_name,
                plans=state_of[student.id],
                short_for_long=weeks_of[student.id] >= numbers.short_weeks,
            )
            for student in sorted(students, key=lambda each: (each.display_name.casefold(), each.id))
        ),
        counts=group_glance(
            [
                StudentSummary(
                    plans_ready=state_of[student.id] != "none", short_only_weeks=weeks_of[student.id]
                )
                for student in students
            ],
            numbers.short_weeks,
            numbers.withheld_below,
        ),
    )
    return made(answer)


def _refuse_others(work: Work) -> None:
    if work.caller.role not in _STAFF:
        raise NotAllowedError("A group at a glance is for its teachers, owners and apps.")
    lacking = sorted(_NEEDED - work.caller.scopes)
    if lacking:
        raise NotAllowedError(f"This needs a token with the scopes {', '.join(sorted(_NEEDED))}.")


async def _routines(work: Work, listed: ColumnElement[bool]) -> Mapping[UUID, Sequence[RoutineFacts]]:
    found: dict[UUID, list[RoutineFacts]] = {}
    for routine in await find_routines(work, listed & Routine.archived_at.is_(None)):
        found.setdefault(routine.student_id, []).append(routine)
    return found


def _plans_state(routines: Sequence[RoutineFacts], loaded: LoadedVersions) -> PlansState:
    routine = ready_routine(routines)
    if routine is None:
        return "none"
    is_outdated = any(routine.outdated(plan, loaded) for plan in open_plans(routine))
    return "outdated" if is_outdated else "ready"


async def _kept_days(
    work: Work, listed: ColumnElement[bool], weeks: int
) -> Mapping[UUID, Sequence[LogEntry]]:
    """Of each student, what kinds of playing each day of the last weeks had; no more of any log is read."""
    log = tables.LogEntry
    # The earliest Monday of anybody's, wherever their clocks stand.
    since = work.now.date() - timedelta(weeks=weeks + 1, days=1)
    statement = (
        select(log.student_id, log.day, log.kind)
        .where(
            log.student_id.in_(select(Student.id).where(listed)),
            log.day >= since,
            log.removed_at.is_(None),
            (log.seconds > 0) | (log.units != _NO_UNITS),
        )
        .distinct()
    )
    found: dict[UUID, list[LogEntry]] = {}
    for student_id, day, kind in await work.session.execute(statement):
        entry = LogEntry(id=f"{day} {kind}", day=day, kind=cast("LogKind", kind), seconds=1)
        found.setdefault(student_id, []).append(entry)
    return found
