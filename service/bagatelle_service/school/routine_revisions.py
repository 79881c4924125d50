"""The revisions of a routine: what it was, never changed."""

from datetime import datetime
from typing import Final
from uuid import UUID

from msgspec import Struct
from sqlalchemy import select

from bagatelle_service.database.tables import RoutineRevision
from bagatelle_service.school.answers import Made, made
from bagatelle_service.school.errors import MissingError
from bagatelle_service.school.fields import Revision
from bagatelle_service.school.pages import Page, cursor_of
from bagatelle_service.school.routine_document import RoutineContent, read_document
from bagatelle_service.school.routine_tasks import TaskAnswer, task_answers
from bagatelle_service.school.routines import find_routine
from bagatelle_service.school.work import Work

_LARGEST: Final = 2**31 - 1
"""What the column holds."""


class RevisionInList(Struct, frozen=True, kw_only=True):
    """A revision without its content."""

    number: Revision
    created_at: datetime


class RevisionsAnswer(Struct, frozen=True, kw_only=True):
    """One page of revisions, the oldest first."""

    revisions: tuple[RevisionInList, ...]
    next: str | None
    """The cursor of the next page; null where this is the last."""


class RevisionAnswer(RoutineContent, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A routine as it stood."""

    number: Revision
    created_at: datetime
    tasks: tuple[TaskAnswer, ...]
    """In the order of the routine; those that a later revision has removed too."""


async def list_revisions(work: Work, routine_id: UUID, page: Page) -> Made:
    """List the revisions of a routine.

    :raises MissingError: where the school has no such routine.
    :raises NotAllowedError: where the caller does not reach its student.
    """
    routine = await find_routine(work, routine_id)
    statement = select(RoutineRevision).where(RoutineRevision.routine_id == routine.id)
    if page.after is not None:
        # Revisions have numbers, which stand in the cursor in an id's place.
        statement = statement.where(RoutineRevision.number > min(page.after[1].int, _LARGEST))
    statement = statement.order_by(RoutineRevision.number).limit(page.limit + 1)
    found = (await work.session.scalars(statement)).all()
    shown = found[: page.limit]
    following = None
    if len(found) > len(shown):
        following = cursor_of(shown[-1].created_at, UUID(int=shown[-1].number))
    revisions = tuple(RevisionInList(number=row.number, created_at=row.created_at) for row in shown)
    return made(RevisionsAnswer(revisions=revisions, next=following))


async def show_revision(work: Work, routine_id: UUID, number: int) -> Made:
    """Show a routine as it stood.

    :raises MissingError: where the school has no such routine, or the routine no such revision.
    :raises NotAllowedError: where the caller does not reach its student.
    """
    routine = await find_routine(work, routine_id)
    revision = None
    if number <= _LARGEST:
        revision = await work.session.get(RoutineRevision, (work.school_id, routine.id, number))
    if revision is None:
        raise MissingError("revision")
    document = read_document(revision.body)
    answer = RevisionAnswer(
        number=revision.number,
        created_at=revision.created_at,
        instrument=document.instrument,
        locale=document.locale,
        learner=document.learner,
        policy=document.policy,
        routine=document.routine,
        tasks=await task_answers(work, routine.id, document.tasks),
    )
    return made(answer)
