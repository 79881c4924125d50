"""Preparing plans for many students, one after the other, each whole or not at all."""

import asyncio
from collections import deque
from collections.abc import AsyncIterator, Sequence
from typing import Annotated, Final, Literal
from uuid import UUID

from msgspec import Meta, Struct
from sqlalchemy import ColumnElement, and_, func, select, true

from bagatelle_service.database.tables import GroupStudent, Routine, Student
from bagatelle_service.school.fields import IdText
from bagatelle_service.school.groups import find_group
from bagatelle_service.school.plan_sets import RoutineFacts, SetFound, find_routines, find_sets
from bagatelle_service.school.plan_versions import LoadedVersions
from bagatelle_service.school.reach import within_reach
from bagatelle_service.school.sessions import Sessions
from bagatelle_service.school.set_preparation import Preparation, Prepared, prepare_student
from bagatelle_service.school.work import Work

_STUDENTS_AT_ONCE: Final = 50
"""Read with one round of queries."""

Only = Annotated[
    Literal["missing", "outdated", "all"],
    Meta(
        description=(
            "Which routines: those that have no plan; those too of which a plan is outdated; or all. Archived "
            "students and routines are left out."
        )
    ),
]


class WantedPreparations(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """For whom plans are to be prepared: for all students whom the caller reaches, or those of one group."""

    only: Only = "outdated"
    group: IdText | None = None
    """The id of a group that the caller sees."""
    dry_run: bool = False
    """Whether only to say what would change; nothing is stored then."""


async def begin(sessions: Sessions, wanted: WantedPreparations) -> None:
    """See that the group is one, and put the work into the trail: one entry, before anybody's plans change.

    :raises MissingError: where the school has no such group.
    :raises NotAllowedError: where it is another teacher's.
    """
    async with sessions.open(writes=not wanted.dry_run) as work:
        if wanted.group is not None:
            await find_group(work, UUID(wanted.group))
        if not wanted.dry_run:
            work.session.add(work.entry())
    if wanted.dry_run:
        sessions.trail.was_read(work)


async def count_students(work: Work, wanted: WantedPreparations) -> int:
    """Count the students who are gone through, those too for whom there is nothing to do."""
    return (
        await work.session.scalar(select(func.count()).select_from(Student).where(_students(work, wanted)))
        or 0
    )


class StudentDone(Struct, frozen=True, kw_only=True):
    """One student was gone through."""

    prepared: Sequence[Prepared]
    """One for each routine that was wanted; none where there was nothing to do."""
    student_id: UUID


async def prepare_many(
    preparation: Preparation, wanted: WantedPreparations, loaded: LoadedVersions, at_once: int
) -> AsyncIterator[StudentDone]:
    """Prepare the plans of many students, each in a transaction of their own, and say so of one after the other.

    Whoever stops listening stops the work; a student who was begun is then whole, or as before.

    :param at_once: how many are worked at together.
    """
    running: deque[asyncio.Task[StudentDone]] = deque()
    try:
        async for student_id, sets in _students_to_do(preparation, wanted, loaded):
            running.append(asyncio.create_task(_done(preparation, student_id, sets)))
            if len(running) >= at_once:
                yield await running.popleft()
        while running:
            yield await running.popleft()
    finally:
        for task in running:
            _end(task)


_ENDING: Final[set[asyncio.Task[StudentDone]]] = set()
"""Tasks that are given up and not over yet: an event loop keeps none of them by itself."""


def _end(task: asyncio.Task[StudentDone]) -> None:
    _ENDING.add(task)
    task.add_done_callback(_ENDING.discard)
    task.cancel()


async def _done(preparation: Preparation, student_id: UUID, sets: Sequence[SetFound]) -> StudentDone:
    try:
        prepared = await prepare_student(preparation, sets)
    except Exception as error:  # it is told of this student, and the others go on
        prepared = [Prepared(found=each, outcome=error) for each in sets]
    return StudentDone(student_id=student_id, prepared=prepared)


async def _students_to_do(
    preparation: Preparation, wanted: WantedPreparations, loaded: LoadedVersions
) -> AsyncIterator[tuple[UUID, Sequence[SetFound]]]:
    after: UUID | None = None
    while True:
        async with preparation.sessions.open(writes=False) as work:
            students = await _page(work, wanted, after)
            sets = await _sets_to_do(work, students, wanted, loaded) if students else []
        for student_id in students:
            yield student_id, [each for each in sets if each.routine.student_id == student_id]
        if len(students) < _STUDENTS_AT_ONCE:
            return
        after = students[-1]


async def _page(work: Work, wanted: WantedPreparations, after: UUID | None) -> Sequence[UUID]:
    statement = select(Student.id).where(_students(work, wanted))
    if after is not None:
        statement = statement.where(Student.id > after)
    return (await work.session.scalars(statement.order_by(Student.id).limit(_STUDENTS_AT_ONCE))).all()


def _students(work: Work, wanted: WantedPreparations) -> ColumnElement[bool]:
    in_group: ColumnElement[bool] = true()
    if wanted.group is not None:
        of_group = select(GroupStudent.student_id).where(GroupStudent.group_id == UUID(wanted.group))
        in_group = Student.id.in_(of_group)
    return and_(Student.archived_at.is_(None), within_reach(work.caller), in_group)


async def _sets_to_do(
    work: Work, students: Sequence[UUID], wanted: WantedPreparations, loaded: LoadedVersions
) -> Sequence[SetFound]:
    which = and_(Routine.student_id.in_(students), Routine.archived_at.is_(None))
    to_do = [each for each in await find_routines(work, which) if _is_wanted(each, wanted.only, loaded)]
    return await find_sets(work, to_do) if to_do else ()


def _is_wanted(routine: RoutineFacts, only: Only, loaded: LoadedVersions) -> bool:
    plans = [plan for plan in routine.plans if not plan.place.is_archived]
    if only == "all" or not plans:
        return True
    return only == "outdated" and any(routine.outdated(plan, loaded) for plan in plans)
