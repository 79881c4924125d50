"""Routines of many students taken in at once, all of them or none."""

from collections import Counter
from collections.abc import Iterator, Sequence
from typing import Literal
from uuid import UUID

from msgspec import Struct
from sqlalchemy import select

from bagatelle_service.database.tables import Routine, RoutineRevision, School, Student
from bagatelle_service.school.answers import Made, made
from bagatelle_service.school.import_rows import WrongCell, refuse_rows
from bagatelle_service.school.parts import in_parts
from bagatelle_service.school.reach import within_reach
from bagatelle_service.school.routine_document import (
    health_facts,
    read_document,
    same_content,
)
from bagatelle_service.school.routine_rows import ReadRoutines, RoutineToImport
from bagatelle_service.school.routines import keep_revision, new_routine
from bagatelle_service.school.work import Work

Outcome = Literal["made", "changed", "known"]


class RoutinesToTakeIn(Struct, frozen=True, kw_only=True):
    """Routines as they were read and checked."""

    read: ReadRoutines
    wrong: tuple[WrongCell, ...]
    """What no plan takes."""
    update: bool
    """Whether routines that are there already may be changed."""
    dry_run: bool


class ImportedRoutine(Struct, frozen=True, kw_only=True):
    """What became of a routine."""

    line: int
    """Where it begins, from 1."""
    student_key: str
    key: str
    student: UUID
    id: UUID | None
    """Null where the routine would be made and was not, as it is a dry run."""
    revision: int | None
    outcome: Outcome


class RoutineImportAnswer(Struct, frozen=True, kw_only=True):
    """What an import of routines came to, or would come to."""

    dry_run: bool
    made: int
    changed: int
    known: int
    """Those that are there already, just as they came."""
    routines: tuple[ImportedRoutine, ...]
    """In the order in which they begin."""


class _Found(Struct, frozen=True, kw_only=True):
    """A routine of the import, and what the school has of it."""

    routine: RoutineToImport
    student: Student
    there: tuple[Routine, str] | None
    """The school's, with what it holds."""

    @property
    def row(self) -> Routine | None:
        return None if self.there is None else self.there[0]

    @property
    def outcome(self) -> Outcome:
        if self.there is None:
            return "made"
        document = read_document(self.there[1])
        return "known" if same_content(self.routine.document, document) else "changed"


async def import_routines(work: Work, given: RoutinesToTakeIn) -> Made:
    """Store the routines that are not there yet, and change others where that is asked for.

    :raises WrongRowsError: with every wrong row; then nothing is stored.
    """
    routines = given.read.routines
    students = await _students(work, routines)
    found = await _found(work, routines, students, to_change=not given.dry_run)
    refuse_rows(
        [
            *given.read.wrong,
            *given.wrong,
            *_wrong_students(routines, students),
            *await _unkept(work, routines),
            *(wrong for each in found for wrong in _wrong_keys(each, update=given.update)),
        ]
    )
    answers = [await _take(work, each, dry_run=given.dry_run) for each in found]
    counts = Counter(answer.outcome for answer in answers)
    return made(
        RoutineImportAnswer(
            dry_run=given.dry_run,
            made=counts["made"],
            changed=counts["changed"],
            known=counts["known"],
            routines=tuple(answers),
        )
    )


async def _students(work: Work, routines: Sequence[RoutineToImport]) -> dict[str, Student]:
    """Find the students whom the caller reaches, by key."""
    found: dict[str, Student] = {}
    for part in in_parts(sorted({routine.student_key for routine in routines})):
        statement = select(Student).where(Student.key.in_(part), within_reach(work.caller))
        found |= {str(student.key): student for student in await work.session.scalars(statement)}
    return found


async def _found(
    work: Work, routines: Sequence[RoutineToImport], students: dict[str, Student], *, to_change: bool
) -> list[_Found]:
    rows: dict[tuple[UUID, str], tuple[Routine, str]] = {}
    keys = {routine.key for routine in routines}
    for part in in_parts(sorted({student.id for student in students.values()})):
        statement = (
            select(Routine, RoutineRevision.body)
            .join(
                RoutineRevision,
                (RoutineRevision.routine_id == Routine.id) & (RoutineRevision.number == Routine.revision),
            )
            .where(Routine.student_id.in_(part), Routine.key.in_(keys))
            .order_by(Routine.id)
        )
        if to_change:
            statement = statement.with_for_update(of=Routine)
        for row, body in (await work.session.execute(statement)).all():
            rows[row.student_id, str(row.key)] = (row, body)
    return [
        _Found(routine=routine, student=student, there=rows.get((student.id, routine.key)))
        for routine in routines
        if (student := students.get(routine.student_key)) is not None
    ]


def _wrong_students(routines: Sequence[RoutineToImport], students: dict[str, Student]) -> Iterator[WrongCell]:
    for routine in routines:
        student, row = students.get(routine.student_key), routine.rows[0]
        if student is None:
            # Whether the school has such a student elsewhere is not the caller's to know.
            message = "none of your students has this key"
            yield row.wrong("student_key", message, "the key of a student whom you reach")
        elif student.archived_at is not None:
            message = "the student of this key is archived"
            yield row.wrong("student_key", message, "the key of a student who is not")


async def _unkept(work: Work, routines: Sequence[RoutineToImport]) -> list[WrongCell]:
    school = await work.session.get_one(School, work.school_id)
    if school.keeps_health_facts:
        return []
    return [wrong for routine in routines for wrong in routine.wrong(health_facts(routine.document.learner))]


def _wrong_keys(found: _Found, *, update: bool) -> Iterator[WrongCell]:
    row, field = found.routine.rows[0], "key" if found.routine.by_task is None else "routine_key"
    if found.row is not None and found.row.archived_at is not None:
        message = "an archived routine of the student has the key"
        yield row.wrong(field, message, "another key, or that routine brought back first")
    elif found.outcome == "changed" and not update:
        message = "the student has a routine of this key, which holds another thing"
        accepted = "another key, what it holds, or `update=true`, which makes a new revision of it"
        yield row.wrong(field, message, accepted)


async def _take(work: Work, found: _Found, *, dry_run: bool) -> ImportedRoutine:
    row, outcome = found.row, found.outcome
    if outcome != "known" and not dry_run:
        if row is None:
            row = await new_routine(work, found.student.id, found.routine.key, found.routine.document)
        else:
            row.revision += 1
            await keep_revision(work, row, found.routine.document)
        work.session.add(work.entry(about=found.student.pseudonym))
    return ImportedRoutine(
        line=found.routine.line,
        student_key=found.routine.student_key,
        key=found.routine.key,
        student=found.student.id,
        id=None if row is None else row.id,
        revision=None if row is None else row.revision,
        outcome=outcome,
    )
