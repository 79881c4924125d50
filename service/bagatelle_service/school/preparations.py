"""Preparing plans for many students, a few at a time, each whole or not at all."""

import asyncio
from collections.abc import AsyncIterator, Coroutine, Sequence
from typing import Annotated, Any, Final, Literal, TypeVar
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
from bagatelle_service.school.set_preparation import (
    Attempt,
    Preparation,
    Prepared,
    keep_students,
    make_student,
)
from bagatelle_service.school.work import Work

Result = TypeVar("Result")
_STUDENTS_AT_ONCE: Final = 50
"""Read with one round of queries."""
_STUDENTS_A_TRANSACTION: Final = 8
"""Stored together: so a line comes after a tenth of a second or so, and other writers wait no longer."""
_Begun = tuple[UUID, "asyncio.Task[Sequence[Attempt]]"]
"""A student, and what the engine is asked for."""

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
    """Prepare the plans of many students, each whole or not at all, and say so of one after the other.

    Where nobody listens any more nothing more is begun; what was begun goes on to its end.

    :param at_once: how many routines the engine is asked for together.
    """
    turns = asyncio.Semaphore(at_once)
    some: list[_Begun] = []
    before: asyncio.Task[Sequence[StudentDone]] | None = None
    async for student_id, sets in _students_to_do(preparation, wanted, loaded):
        some.append((student_id, _begun(_made(preparation, sets, turns))))
        if len(some) == _STUDENTS_A_TRANSACTION:
            # While these are stored, the engine is asked for the next.
            now, some = _begun(_kept(preparation, some)), []
            for done in await _ended(before) if before is not None else ():
                yield done
            before = now
    for last in (before, _begun(_kept(preparation, some))):
        for done in await _ended(last) if last is not None else ():
            yield done


_RUNNING: Final[set[asyncio.Task[Any]]] = set()
"""An event loop by itself keeps no task that nobody waits for any more."""


def _begun(work: Coroutine[Any, Any, Result]) -> asyncio.Task[Result]:
    task = asyncio.create_task(work)
    _RUNNING.add(task)
    task.add_done_callback(_RUNNING.discard)
    return task


async def _ended(task: asyncio.Task[Result]) -> Result:
    """Wait for a task; whoever is stopped in waiting does not stop it, so that no transaction is cut in two."""
    await asyncio.wait((task,))
    return task.result()


async def _made(
    preparation: Preparation, sets: Sequence[SetFound], turns: asyncio.Semaphore
) -> Sequence[Attempt]:
    async with turns:
        return await make_student(preparation, sets)


async def _kept(preparation: Preparation, students: Sequence[_Begun]) -> Sequence[StudentDone]:
    attempts = [await making for _, making in students]
    prepared = await keep_students(preparation, attempts)
    return [
        StudentDone(student_id=student_id, prepared=each)
        for (student_id, _), each in zip(students, prepared, strict=True)
    ]


async def _students_to_do(
    preparation: Preparation, wanted: WantedPreparations, loaded: LoadedVersions
) -> AsyncIterator[tuple[UUID, Sequence[SetFound]]]:
    after: UUID | None = None
    while True:
        students, sets = await _ended(_begun(_next_students(preparation.sessions, wanted, loaded, after)))
        for student_id in students:
            yield student_id, [each for each in sets if each.routine.student_id == student_id]
        if len(students) < _STUDENTS_AT_ONCE:
            return
        after = students[-1]


async def _next_students(
    sessions: Sessions, wanted: WantedPreparations, loaded: LoadedVersions, after: UUID | None
) -> tuple[Sequence[UUID], Sequence[SetFound]]:
    async with sessions.open(writes=False) as work:
        students = await _page(work, wanted, after)
        return students, await _sets_to_do(work, students, wanted, loaded) if students else ()


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
