"""A routine given to students, each an own copy; and given again, what changed brought together with their own."""

from collections.abc import Callable, Sequence
from typing import Any, Literal
from uuid import UUID

from bagatelle.model.errors import FieldError, InvalidInputError
from bagatelle.model.request import Limits
from msgspec import UNSET, Struct, UnsetType

from bagatelle_service.database.errors import OutdatedError
from bagatelle_service.database.tables import Routine, Student
from bagatelle_service.school.answers import Made, made
from bagatelle_service.school.assigned_students import (
    Copy,
    NewAssignment,
    assigned_students,
    copies_for,
    documents_of,
    taken_keys,
)
from bagatelle_service.school.errors import NotAllowedError
from bagatelle_service.school.fields import Revision
from bagatelle_service.school.routine_document import RoutineContent, RoutineDocument, document_of
from bagatelle_service.school.routine_merge import merge_routines
from bagatelle_service.school.routine_tree import content_of, tree_of
from bagatelle_service.school.routines import find_routine, keep_revision, new_routine
from bagatelle_service.school.three_way import Difference, same
from bagatelle_service.school.work import Work

Outcome = Literal["made", "changed", "unchanged", "refused", "archived", "own"]
Judge = Callable[[RoutineContent], tuple[FieldError, ...] | None]
"""From what a routine would hold to what is wrong with it; None where nobody looked at it."""


class ChangedPlace(Struct, frozen=True, kw_only=True):
    """A place where the origin changed. What is left out was not there, or is not there any more."""

    pointer: str
    """JSON Pointer into the routine by keys: `/tasks/<key>/<field>`, `/blocks/<id>/<field>`,
    `/order/tasks/<block>`; a whole task or block where it came in or went."""
    base: Any | UnsetType = UNSET
    """What the copy began with."""
    own: Any | UnsetType = UNSET
    """What the copy holds."""
    origin: Any | UnsetType = UNSET
    """What the origin holds."""


class Conflict(ChangedPlace, frozen=True, kw_only=True):
    """A place where the student's copy changed too, and otherwise."""

    taken: bool
    """Whether the copy has the origin's now; else the student's stays."""


class WrongPlace(Struct, frozen=True, kw_only=True):
    """What no plan takes of a routine as it would be."""

    pointer: str
    """JSON Pointer into the routine."""
    message: str
    accepted: str


class AssignedCopy(Struct, frozen=True, kw_only=True):
    """What became of one student's copy."""

    student: UUID
    routine: UUID | None
    """The copy; null where there is none, or none yet in a dry run."""
    revision: Revision | None
    outcome: Outcome
    """`refused`: as it would be, no plan could be made of it, so it stays as it is. `archived`: the copy is, and
    stays as it is. `own`: the routine is this student's own."""
    taken: tuple[ChangedPlace, ...]
    conflicts: tuple[Conflict, ...]
    refused: tuple[WrongPlace, ...]


class AssignmentAnswer(Struct, frozen=True, kw_only=True):
    """What an assignment came to, or would come to."""

    routine: UUID
    """The origin."""
    revision: Revision
    """Of the origin: what the copies took over."""
    dry_run: bool
    copies: tuple[AssignedCopy, ...]


class Assignment(Struct, frozen=True, kw_only=True):
    """An assignment, checked."""

    routine_id: UUID
    body: NewAssignment
    judge: Judge
    dry_run: bool


class PlannedCopy(Struct, kw_only=True):
    """What one student's copy would be."""

    student: Student
    copy: Copy | None
    outcome: Outcome
    content: RoutineContent | None = None
    """What it would hold; None where it stays as it is."""
    differences: tuple[Difference, ...] = ()
    refused: tuple[FieldError, ...] = ()


async def contents_to_check(work: Work, routine_id: UUID, body: NewAssignment) -> list[RoutineContent]:
    """List what copies would hold, so that the engine can look at it.

    :raises MissingError: where the school has no such routine.
    :raises NotAllowedError: where the caller does not reach its student, or may not read routines.
    :raises InvalidInputError: where the routine is archived, or it is not said to whom it goes.
    """
    _, planned = await _planned(work, routine_id, body, to_change=False)
    return [each.content for each in planned if each.content is not None]


async def assign(work: Work, assignment: Assignment) -> Made:
    """Give a routine to students, or say what that would do.

    :raises OutdatedError: where a copy was changed while the engine looked at it.
    """
    origin, planned = await _planned(
        work, assignment.routine_id, assignment.body, to_change=not assignment.dry_run
    )
    for each in planned:
        _judge(each, assignment.judge)
    if not assignment.dry_run:
        await _store(work, origin, planned)
    answer = AssignmentAnswer(
        routine=origin.id,
        revision=origin.revision,
        dry_run=assignment.dry_run,
        copies=tuple(map(_answer, planned)),
    )
    return made(answer, location=f"/v1/routines/{origin.id}/assignments")


async def _planned(
    work: Work, routine_id: UUID, body: NewAssignment, *, to_change: bool
) -> tuple[Routine, list[PlannedCopy]]:
    origin = await find_routine(work, routine_id)
    if "routines.read" not in work.caller.scopes:
        raise NotAllowedError("As it shows what routines hold, this needs the scope routines.read too.")
    if origin.archived_at is not None:
        wrong = FieldError(pointer="", message="the routine is archived", accepted="a routine that is not")
        raise InvalidInputError((wrong,))
    students = await assigned_students(work, body)
    copies = await copies_for(work, origin, students, to_change=to_change)
    documents = await documents_of(work, origin, [copy.row for copy in copies.values()])
    planned = []
    for student in students:
        copy = copies.get(student.id)
        if student.id == origin.student_id:
            planned.append(PlannedCopy(student=student, copy=None, outcome="own"))
        elif copy is None:
            content = copied_content(documents[origin.revision])
            planned.append(PlannedCopy(student=student, copy=None, outcome="made", content=content))
        else:
            planned.append(_planned_again(student, copy, documents, origin.revision, body))
    return origin, planned


def copied_content(document: RoutineDocument) -> RoutineContent:
    """Say what a copy of a routine holds: all but the limits of a body, with every id named."""
    return content_of(tree_of(document), Limits())


def _planned_again(
    student: Student,
    copy: Copy,
    documents: dict[int, RoutineDocument],
    newest: int,
    body: NewAssignment,
) -> PlannedCopy:
    planned = PlannedCopy(student=student, copy=copy, outcome="unchanged")
    if copy.row.archived_at is not None:
        planned.outcome = "archived"
        return planned
    own = tree_of(copy.document)
    base = tree_of(documents[copy.row.origin_revision or newest])
    merged = merge_routines(base, own, tree_of(documents[newest]), body.takes_origin)
    planned.differences = merged.differences
    if not same(merged.tree, own):
        try:
            planned.content = content_of(merged.tree, copy.document.learner.limits)
            planned.outcome = "changed"
        except InvalidInputError as error:
            planned.refused, planned.outcome = error.errors, "refused"
    return planned


def _judge(planned: PlannedCopy, judge: Judge) -> None:
    if planned.content is None:
        return
    wrong = judge(planned.content)
    if wrong is None:
        raise OutdatedError("a copy was changed while the engine looked at it")
    if wrong:
        planned.content, planned.refused, planned.outcome = None, wrong, "refused"


async def _store(work: Work, origin: Routine, planned: Sequence[PlannedCopy]) -> None:
    new = [each.student for each in planned if each.outcome == "made"]
    taken = await taken_keys(work, origin.key, new)
    for each in planned:
        if each.outcome == "made" and each.content is not None:
            key = None if each.student.id in taken else origin.key
            document = document_of(each.content)
            row = await new_routine(work, each.student.id, key, document, origin)
            each.copy = Copy(row, document)
        elif each.outcome in ("changed", "unchanged") and each.copy is not None:
            await _take_over(work, origin, each.copy.row, each.content)
        if each.content is not None:
            work.session.add(work.entry(about=each.student.pseudonym))


async def _take_over(work: Work, origin: Routine, copy: Routine, content: RoutineContent | None) -> None:
    copy.origin_revision = origin.revision
    if content is not None:
        copy.revision += 1
        copy.copied_revision = copy.revision
        await keep_revision(work, copy, document_of(content))
    await work.session.flush()


def _answer(planned: PlannedCopy) -> AssignedCopy:
    copy = planned.copy
    differences = planned.differences
    return AssignedCopy(
        student=planned.student.id,
        routine=None if copy is None else copy.row.id,
        revision=None if copy is None else copy.row.revision,
        outcome=planned.outcome,
        taken=tuple(
            ChangedPlace(pointer=each.pointer, base=each.base, own=each.own, origin=each.new)
            for each in differences
            if each.fate == "taken"
        ),
        conflicts=tuple(
            Conflict(
                pointer=each.pointer, base=each.base, own=each.own, origin=each.new, taken=each.new_taken
            )
            for each in differences
            if each.fate == "conflict"
        ),
        refused=tuple(
            WrongPlace(pointer=wrong.pointer, message=wrong.message, accepted=wrong.accepted)
            for wrong in planned.refused
        ),
    )
