"""To whom a routine is given, and what copies of it there are."""

from collections.abc import Sequence
from typing import Annotated
from uuid import UUID

from bagatelle.model.errors import FieldError, InvalidInputError
from bagatelle.wrong_fields import refuse
from msgspec import Meta, Struct
from sqlalchemy import select

from bagatelle_service.database.tables import GroupStudent, Routine, RoutineRevision, Student
from bagatelle_service.school.errors import MissingError, NotAllowedError
from bagatelle_service.school.fields import IdText
from bagatelle_service.school.groups import MEMBERS_LIMIT, find_group
from bagatelle_service.school.reach import within_reach
from bagatelle_service.school.routine_document import RoutineDocument, read_document
from bagatelle_service.school.work import Work

TAKEN_POINTERS_LIMIT = 500
PlaceByKeys = Annotated[str, Meta(max_length=1024, pattern=r"^(/[^/]*)*$(?!\n)")]


class NewAssignment(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """To whom a routine is to be given: give one of `students` and `group`."""

    students: Annotated[tuple[IdText, ...], Meta(min_length=1, max_length=MEMBERS_LIMIT)] | None = None
    """Ids of students, each once."""
    group: IdText | None = None
    """The id of a group: those who are in it now and not archived."""
    take_origin: Annotated[tuple[PlaceByKeys, ...], Meta(max_length=TAKEN_POINTERS_LIMIT)] = ()
    """Where both the student and the origin changed the same, take the origin's: the `pointer` of such a conflict
    as a dry run shows it, or of what it stands in; the empty one for all of them. Elsewhere the student's
    stays."""

    def takes_origin(self, pointer: str) -> bool:
        """Tell whether the origin's is asked for at a place."""
        return any(f"{pointer}/".startswith(f"{wanted}/") for wanted in self.take_origin)


class Copy(Struct, frozen=True):
    """A copy of a routine, and what it holds."""

    row: Routine
    document: RoutineDocument


async def assigned_students(work: Work, body: NewAssignment) -> Sequence[Student]:
    """Find the students to whom a routine is to be given, in the order of the request.

    :raises InvalidInputError: where it does not say to whom, or names somebody whom the caller does not reach.
    :raises NotAllowedError: where a group is named, and the caller may see none, or not that one.
    """
    if (body.students is None) == (body.group is None):
        message = "both are given" if body.group is not None else "neither students nor a group are given"
        accepted = "one of `students` and `group`"
        raise InvalidInputError((FieldError(pointer="/students", message=message, accepted=accepted),))
    if body.group is not None:
        return await _students_of_group(work, UUID(body.group))
    return await _students_named(work, [UUID(text) for text in body.students or ()])


async def _students_of_group(work: Work, group_id: UUID) -> Sequence[Student]:
    if "groups.read" not in work.caller.scopes:
        raise NotAllowedError("To name a group this needs a token with the scope groups.read.")
    try:
        group = await find_group(work, group_id)
    except MissingError:
        accepted = "the id of a group of the school"
        wrong = FieldError(pointer="/group", message="the school has no group of this id", accepted=accepted)
        raise InvalidInputError((wrong,)) from None
    members = select(GroupStudent.student_id).where(GroupStudent.group_id == group.id)
    statement = select(Student).where(Student.id.in_(members), Student.archived_at.is_(None))
    found = await work.session.scalars(statement.where(within_reach(work.caller)).order_by(Student.id))
    return found.all()


async def _students_named(work: Work, ids: Sequence[UUID]) -> Sequence[Student]:
    rows = await work.session.scalars(
        select(Student).where(Student.id.in_(ids), within_reach(work.caller), Student.archived_at.is_(None))
    )
    by_id = {student.id: student for student in rows}
    wrong, seen = [], set()
    for place, student_id in enumerate(ids):
        pointer = f"/students/{place}"
        if student_id in seen:
            wrong.append(FieldError(pointer=pointer, message="the id stands twice", accepted="each id once"))
        elif student_id not in by_id:
            message = "none of your students has this id, or they are archived"
            accepted = "the id of a student whom you reach and who is not archived"
            wrong.append(FieldError(pointer=pointer, message=message, accepted=accepted))
        seen.add(student_id)
    refuse(wrong)
    return [by_id[student_id] for student_id in ids]


async def copies_for(
    work: Work, origin: Routine, students: Sequence[Student], *, to_change: bool
) -> dict[UUID, Copy]:
    """Find the copies that students have of a routine, by student."""
    statement = (
        select(Routine, RoutineRevision.body)
        .join(
            RoutineRevision,
            (RoutineRevision.routine_id == Routine.id) & (RoutineRevision.number == Routine.revision),
        )
        .where(Routine.origin_id == origin.id, Routine.student_id.in_([student.id for student in students]))
        .order_by(Routine.id)
    )
    if to_change:
        statement = statement.with_for_update(of=Routine)
    rows = (await work.session.execute(statement)).all()
    return {row.student_id: Copy(row, read_document(body)) for row, body in rows}


async def documents_of(work: Work, origin: Routine, copies: Sequence[Routine]) -> dict[int, RoutineDocument]:
    """Read what a routine held when copies took it over, and what it holds now, by revision."""
    numbers = {origin.revision, *(copy.origin_revision for copy in copies if copy.origin_revision)}
    statement = select(RoutineRevision.number, RoutineRevision.body).where(
        RoutineRevision.routine_id == origin.id, RoutineRevision.number.in_(sorted(numbers))
    )
    rows = (await work.session.execute(statement)).all()
    return {number: read_document(body) for number, body in rows}


async def taken_keys(work: Work, key: str | None, students: Sequence[Student]) -> set[UUID]:
    """Find the students who have a routine of a key."""
    if key is None:
        return set()
    ids = [student.id for student in students]
    statement = select(Routine.student_id).where(Routine.key == key, Routine.student_id.in_(ids))
    return set(await work.session.scalars(statement))
