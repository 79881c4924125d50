"""Students: whom the school's plans are for."""

from datetime import datetime
from uuid import UUID, uuid4

from msgspec import Struct
from sqlalchemy import select

from bagatelle_service.database.tables import GroupStudent, Student
from bagatelle_service.school.answers import Made, made
from bagatelle_service.school.archiving import archived_as_wanted, set_archived
from bagatelle_service.school.errors import TakenError
from bagatelle_service.school.fields import DisplayName, Key, Revision, TimeZone, check_time_zone
from bagatelle_service.school.pages import Page, rows_of_page
from bagatelle_service.school.reach import within_reach
from bagatelle_service.school.work import Work


class NewStudent(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A student to be made. This is all that is stored of a person."""

    display_name: DisplayName
    time_zone: TimeZone
    key: Key | None = None


class ChangedStudent(NewStudent, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A student as it should be from now on."""

    archived: bool = False
    """An archived student's tokens open nothing; nothing else is lost."""


class StudentAnswer(Struct, frozen=True, kw_only=True):
    """A student."""

    id: UUID
    key: str | None
    display_name: str
    time_zone: str
    archived: bool
    created_at: datetime
    revision: Revision


class StudentsAnswer(Struct, frozen=True, kw_only=True):
    """One page of students, in the order in which they were made."""

    students: tuple[StudentAnswer, ...]
    next: str | None
    """The cursor of the next page; null where this is the last."""


class WantedStudents(Struct, frozen=True, kw_only=True):
    """Which students are wanted."""

    page: Page
    key: str | None = None
    group_id: UUID | None = None
    archived: bool | None = None


async def make_student(work: Work, body: NewStudent) -> Made:
    """Make a student.

    :raises TakenError: where another student has the key.
    :raises InvalidInputError: where the time zone is none.
    """
    check_time_zone(body.time_zone)
    await _refuse_taken_key(work, body.key)
    student = Student(
        school_id=work.school_id,
        id=uuid4(),
        key=body.key,
        display_name=body.display_name,
        time_zone=body.time_zone,
        pseudonym=uuid4(),
        revision=1,
        created_at=work.now,
        archived_at=None,
    )
    work.session.add(student)
    await work.session.flush()
    work.is_about(student)
    return _shown(student)


async def show_student(work: Work, student_id: UUID) -> Made:
    """Show a student.

    :raises MissingError: where the school has no such student.
    :raises NotAllowedError: where the caller does not reach them.
    """
    return _shown(await work.student(student_id))


async def list_students(work: Work, wanted: WantedStudents) -> Made:
    """List the students whom the caller reaches."""
    statement = select(Student).where(within_reach(work.caller))
    if wanted.key is not None:
        statement = statement.where(Student.key == wanted.key)
    statement = statement.where(archived_as_wanted(Student, archived=wanted.archived))
    if wanted.group_id is not None:
        of_group = select(GroupStudent.student_id).where(GroupStudent.group_id == wanted.group_id)
        statement = statement.where(Student.id.in_(of_group))
    rows, following = await rows_of_page(work.session, statement, Student, wanted.page)
    answer = StudentsAnswer(students=tuple(map(student_answer, rows)), next=following)
    return made(answer)


async def change_student(work: Work, student_id: UUID, body: ChangedStudent) -> Made:
    """Change a student.

    :raises MissingError: where the school has no such student.
    :raises NotAllowedError: where the caller does not reach them.
    :raises TakenError: where another student has the key.
    :raises InvalidInputError: where the time zone is none.
    """
    student = await work.student(student_id)
    work.expect(student.revision)
    check_time_zone(body.time_zone)
    if body.key != student.key:
        await _refuse_taken_key(work, body.key)
    student.key, student.display_name, student.time_zone = body.key, body.display_name, body.time_zone
    set_archived(student, work.now, archived=body.archived)
    student.revision += 1
    await work.session.flush()
    return _shown(student)


def student_answer(student: Student) -> StudentAnswer:
    """Say what is stored of a student."""
    return StudentAnswer(
        id=student.id,
        key=student.key,
        display_name=student.display_name,
        time_zone=student.time_zone,
        archived=student.archived_at is not None,
        created_at=student.created_at,
        revision=student.revision,
    )


def _shown(student: Student) -> Made:
    return made(student_answer(student), student.revision, f"/v1/students/{student.id}")


async def _refuse_taken_key(work: Work, key: str | None) -> None:
    if key is None:
        return
    if await work.session.scalar(select(Student.id).where(Student.key == key)) is not None:
        raise TakenError(f"Another student has the key {key!r}.")
