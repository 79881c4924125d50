"""Routines: a student's normal days of practice, each change a new revision."""

from datetime import datetime
from uuid import UUID, uuid4

from bagatelle.model.errors import FieldError, InvalidInputError
from bagatelle.model.request import Learner
from bagatelle.wrong_fields import refuse
from msgspec import Struct
from sqlalchemy import select

from bagatelle_service.database.tables import Routine, RoutineRevision, School
from bagatelle_service.school.answers import Made, made
from bagatelle_service.school.archiving import archived_as_wanted, set_archived
from bagatelle_service.school.errors import MissingError, TakenError
from bagatelle_service.school.fields import Key, Revision
from bagatelle_service.school.pages import Page, rows_of_page
from bagatelle_service.school.routine_document import (
    RoutineContent,
    RoutineDocument,
    checked_document,
    document_of,
    health_facts,
    read_document,
    same_content,
    write_document,
)
from bagatelle_service.school.routine_tasks import TaskAnswer, keep_tasks, task_answers
from bagatelle_service.school.work import Work


class NewRoutine(RoutineContent, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A routine to be stored: what a plan takes, and what does not change from day to day."""

    key: Key | None = None
    """Unique among the student's routines."""


class ChangedRoutine(NewRoutine, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A routine as it should be from now on."""

    archived: bool = False
    """An archived routine stays as it was: the content that comes with it must be that of the newest revision."""


class RoutineAnswer(RoutineContent, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A routine as it stands."""

    id: UUID
    student: UUID
    key: str | None
    archived: bool
    created_at: datetime
    revision: Revision
    tasks: tuple[TaskAnswer, ...]
    """In the order of the routine."""


class RoutineInList(Struct, frozen=True, kw_only=True):
    """A routine without its content."""

    id: UUID
    student: UUID
    key: str | None
    archived: bool
    created_at: datetime
    revision: Revision


class RoutinesAnswer(Struct, frozen=True, kw_only=True):
    """One page of a student's routines, in the order in which they were made."""

    routines: tuple[RoutineInList, ...]
    next: str | None
    """The cursor of the next page; null where this is the last."""


class WantedRoutines(Struct, frozen=True, kw_only=True):
    """Which routines are wanted."""

    page: Page
    key: str | None = None
    archived: bool | None = None


async def make_routine(work: Work, student_id: UUID, body: NewRoutine) -> Made:
    """Store a routine, found plannable before.

    :raises MissingError: where the school has no such student.
    :raises NotAllowedError: where the caller does not reach them.
    :raises TakenError: where another routine of the student has the key.
    :raises InvalidInputError: where the school does not keep what the body holds.
    """
    return await _make(work, student_id, body.key, document_of(body))


async def import_routine(work: Work, student_id: UUID, document: RoutineDocument) -> Made:
    """Store a routine that was exported, found plannable before.

    :raises MissingError: where the school has no such student.
    :raises NotAllowedError: where the caller does not reach them.
    :raises InvalidInputError: where the school does not keep what the document holds, or its keys are others.
    """
    return await _make(work, student_id, None, checked_document(document))


async def show_routine(work: Work, routine_id: UUID) -> Made:
    """Show a routine.

    :raises MissingError: where the school has no such routine.
    :raises NotAllowedError: where the caller does not reach its student.
    """
    routine = await find_routine(work, routine_id)
    return await _shown(work, routine, await newest_document(work, routine))


async def export_routine(work: Work, routine_id: UUID) -> Made:
    """Show a routine as the document that can be imported.

    :raises MissingError: where the school has no such routine.
    :raises NotAllowedError: where the caller does not reach its student.
    """
    routine = await find_routine(work, routine_id)
    return made(await newest_document(work, routine), routine.revision)


async def list_routines(work: Work, student_id: UUID, wanted: WantedRoutines) -> Made:
    """List a student's routines.

    :raises MissingError: where the school has no such student.
    :raises NotAllowedError: where the caller does not reach them.
    """
    student = await work.student(student_id)
    statement = select(Routine).where(Routine.student_id == student.id)
    if wanted.key is not None:
        statement = statement.where(Routine.key == wanted.key)
    statement = statement.where(archived_as_wanted(Routine, archived=wanted.archived))
    rows, following = await rows_of_page(work.session, statement, Routine, wanted.page)
    return made(RoutinesAnswer(routines=tuple(map(_in_list, rows)), next=following))


async def change_routine(work: Work, routine_id: UUID, body: ChangedRoutine) -> Made:
    """Change a routine by a new revision. One that is archived keeps its content, so it need not be plannable.

    :raises MissingError: where the school has no such routine.
    :raises NotAllowedError: where the caller does not reach its student.
    :raises TakenError: where another routine of the student has the key.
    :raises InvalidInputError: where the school does not keep what the body holds.
    """
    routine = await find_routine(work, routine_id, to_change=True)
    work.expect(routine.revision)
    if body.archived:
        document = await newest_document(work, routine)
        _refuse_other_content(body, document)
    else:
        await _refuse_unkept(work, body.learner)
        document = document_of(body)
    if body.key != routine.key:
        await _refuse_taken_key(work, routine.student_id, body.key)
    routine.key = body.key
    set_archived(routine, work.now, archived=body.archived)
    routine.revision += 1
    await keep_revision(work, routine, document)
    return await _shown(work, routine, document)


async def find_routine(work: Work, routine_id: UUID, *, to_change: bool = False) -> Routine:
    """Find a routine of a student whom the caller reaches; the work is about that student from now on.

    :raises MissingError: where the school has no such routine.
    :raises NotAllowedError: where the caller does not reach its student.
    """
    # Locked where it is to change: of two who change it at once the second sees what the first made of it.
    routine = await work.session.get(Routine, (work.school_id, routine_id), with_for_update=to_change or None)
    if routine is None:
        raise MissingError("routine")
    await work.student(routine.student_id)
    return routine


async def newest_document(work: Work, routine: Routine) -> RoutineDocument:
    """Read what a routine holds now."""
    key = (work.school_id, routine.id, routine.revision)
    return read_document((await work.session.get_one(RoutineRevision, key)).body)


async def _make(work: Work, student_id: UUID, key: str | None, document: RoutineDocument) -> Made:
    student = await work.student(student_id)
    await _refuse_unkept(work, document.learner)
    await _refuse_taken_key(work, student.id, key)
    routine = await new_routine(work, student.id, key, document)
    return await _shown(work, routine, document)


async def new_routine(
    work: Work,
    student_id: UUID,
    key: str | None,
    document: RoutineDocument,
    origin: Routine | None = None,
) -> Routine:
    """Store a new routine of a student whom the caller reaches, its key found free before.

    :param origin: what it is a copy of.
    """
    routine = Routine(
        school_id=work.school_id,
        id=uuid4(),
        student_id=student_id,
        key=key,
        revision=1,
        origin_id=None if origin is None else origin.id,
        origin_revision=None if origin is None else origin.revision,
        copied_revision=None if origin is None else 1,
        created_at=work.now,
        archived_at=None,
    )
    work.session.add(routine)
    await work.session.flush()
    await keep_revision(work, routine, document)
    return routine


async def keep_revision(work: Work, routine: Routine, document: RoutineDocument) -> None:
    """Store what a routine holds at its newest revision, counted up before."""
    work.session.add(
        RoutineRevision(
            school_id=work.school_id,
            routine_id=routine.id,
            number=routine.revision,
            body=write_document(document),
            created_at=work.now,
        )
    )
    await keep_tasks(work, routine.id, (task.key for task in document.tasks))


async def _refuse_unkept(work: Work, learner: Learner) -> None:
    school = await work.session.get_one(School, work.school_id)
    if not school.keeps_health_facts:
        refuse(health_facts(learner))


def _refuse_other_content(body: ChangedRoutine, document: RoutineDocument) -> None:
    if not same_content(body, document):
        message = "the routine is to be archived, and its content is not that of its newest revision"
        accepted = "the content as GET shows it, or `archived` false"
        raise InvalidInputError((FieldError(pointer="/archived", message=message, accepted=accepted),))


async def _refuse_taken_key(work: Work, student_id: UUID, key: str | None) -> None:
    if key is None:
        return
    same_key = select(Routine.id).where(Routine.student_id == student_id, Routine.key == key)
    if await work.session.scalar(same_key) is not None:
        raise TakenError(f"Another routine of the student has the key {key!r}.")


async def _shown(work: Work, routine: Routine, document: RoutineDocument) -> Made:
    answer = RoutineAnswer(
        id=routine.id,
        student=routine.student_id,
        key=routine.key,
        archived=routine.archived_at is not None,
        created_at=routine.created_at,
        revision=routine.revision,
        instrument=document.instrument,
        locale=document.locale,
        learner=document.learner,
        policy=document.policy,
        routine=document.routine,
        tasks=await task_answers(work, routine.id, document.tasks),
    )
    return made(answer, routine.revision, f"/v1/routines/{routine.id}")


def _in_list(routine: Routine) -> RoutineInList:
    return RoutineInList(
        id=routine.id,
        student=routine.student_id,
        key=routine.key,
        archived=routine.archived_at is not None,
        created_at=routine.created_at,
        revision=routine.revision,
    )
