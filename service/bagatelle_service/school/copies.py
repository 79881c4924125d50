"""The copies of a routine, and how far each is."""

from uuid import UUID

from msgspec import Struct
from sqlalchemy import select

from bagatelle_service.database.tables import Routine, RoutineRevision, Student
from bagatelle_service.school.answers import Made, made
from bagatelle_service.school.assigned_students import documents_of
from bagatelle_service.school.fields import Revision
from bagatelle_service.school.pages import Page, rows_of_page
from bagatelle_service.school.reach import within_reach
from bagatelle_service.school.routine_document import RoutineDocument, read_document
from bagatelle_service.school.routine_tree import tree_of
from bagatelle_service.school.routines import find_routine
from bagatelle_service.school.three_way import same
from bagatelle_service.school.work import Work


class CopyAnswer(Struct, frozen=True, kw_only=True):
    """A copy of a routine."""

    student: UUID
    routine: UUID
    """The copy."""
    revision: Revision
    archived: bool
    origin_revision: Revision
    """The newest revision of the origin that the copy has taken over."""
    behind: int
    """How many revisions the origin has made since; 0: the copy is up to date."""
    own_changes: bool
    """Whether the copy holds another thing than the origin did at that revision; limits of a body aside."""


class CopiesAnswer(Struct, frozen=True, kw_only=True):
    """One page of copies, in the order in which they were made."""

    copies: tuple[CopyAnswer, ...]
    next: str | None
    """The cursor of the next page; null where this is the last."""


async def list_copies(work: Work, routine_id: UUID, page: Page) -> Made:
    """List the copies of a routine that students have whom the caller reaches.

    :raises MissingError: where the school has no such routine.
    :raises NotAllowedError: where the caller does not reach its student.
    """
    origin = await find_routine(work, routine_id)
    reached = select(Student.id).where(within_reach(work.caller))
    statement = select(Routine).where(Routine.origin_id == origin.id, Routine.student_id.in_(reached))
    rows, following = await rows_of_page(work.session, statement, Routine, page)
    origins = await documents_of(work, origin, rows)
    newest = await _newest(work, [row.id for row in rows])
    copies = tuple(_answer(row, origin, origins, newest[row.id]) for row in rows)
    return made(CopiesAnswer(copies=copies, next=following))


async def _newest(work: Work, ids: list[UUID]) -> dict[UUID, RoutineDocument]:
    statement = (
        select(RoutineRevision.routine_id, RoutineRevision.body)
        .join(
            Routine,
            (Routine.id == RoutineRevision.routine_id) & (Routine.revision == RoutineRevision.number),
        )
        .where(RoutineRevision.routine_id.in_(ids))
    )
    rows = (await work.session.execute(statement)).all()
    return {routine_id: read_document(body) for routine_id, body in rows}


def _answer(
    copy: Routine, origin: Routine, origins: dict[int, RoutineDocument], document: RoutineDocument
) -> CopyAnswer:
    taken_over = copy.origin_revision or origin.revision
    return CopyAnswer(
        student=copy.student_id,
        routine=copy.id,
        revision=copy.revision,
        archived=copy.archived_at is not None,
        origin_revision=taken_over,
        behind=origin.revision - taken_over,
        own_changes=not same(tree_of(document), tree_of(origins[taken_over])),
    )
