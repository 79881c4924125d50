"""Groups: students who are taught together, and who teaches them."""

from collections.abc import Iterable, Sequence
from datetime import datetime
from typing import Annotated, Any, Final
from uuid import UUID, uuid4

from bagatelle.model.errors import FieldError
from bagatelle.wrong_fields import refuse
from msgspec import Meta, Struct
from sqlalchemy import ColumnElement, select, true

from bagatelle_service.database.tables import Group, GroupStudent, GroupTeacher, Staff, Student
from bagatelle_service.school.answers import Made, made
from bagatelle_service.school.archiving import archived_as_wanted, set_archived
from bagatelle_service.school.caller import Caller
from bagatelle_service.school.errors import MissingError, NotAllowedError
from bagatelle_service.school.fields import IdText, Name, Revision
from bagatelle_service.school.pages import Page, rows_of_page
from bagatelle_service.school.work import Work

MEMBERS_LIMIT: Final = 500

Members = Annotated[tuple[IdText, ...], Meta(max_length=MEMBERS_LIMIT)]


class NewGroup(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A group to be made: at most 500 teachers and students together."""

    name: Name
    teachers: Members = ()
    """Ids of staff, each once."""
    students: Members = ()
    """Ids of students, each once."""


class ChangedGroup(NewGroup, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A group as it should be from now on, with all its members."""

    archived: bool = False
    """Through an archived group no teacher reaches anybody; nothing is lost."""


class GroupAnswer(Struct, frozen=True, kw_only=True):
    """A group with its members."""

    id: UUID
    name: str
    teachers: tuple[UUID, ...]
    """In the order of their ids, as the students."""
    students: tuple[UUID, ...]
    archived: bool
    created_at: datetime
    revision: Revision


class GroupInList(Struct, frozen=True, kw_only=True):
    """A group without its members."""

    id: UUID
    name: str
    archived: bool
    created_at: datetime
    revision: Revision


class GroupsAnswer(Struct, frozen=True, kw_only=True):
    """One page of groups, in the order in which they were made."""

    groups: tuple[GroupInList, ...]
    next: str | None
    """The cursor of the next page; null where this is the last."""


class WantedGroups(Struct, frozen=True, kw_only=True):
    """Which groups are wanted."""

    page: Page
    student_id: UUID | None = None
    teacher_id: UUID | None = None
    archived: bool | None = None


async def make_group(work: Work, body: NewGroup) -> Made:
    """Make a group.

    :raises InvalidInputError: where a member is none of the school's.
    """
    await _refuse_wrong_members(work, body)
    group = Group(
        school_id=work.school_id,
        id=uuid4(),
        name=body.name,
        revision=1,
        created_at=work.now,
        archived_at=None,
    )
    work.session.add(group)
    await work.session.flush()
    await _set_members(work, group, body)
    return await _shown(work, group)


async def show_group(work: Work, group_id: UUID) -> Made:
    """Show a group with its members.

    :raises MissingError: where the school has no such group.
    :raises NotAllowedError: where it is another teacher's.
    """
    return await _shown(work, await find_group(work, group_id))


async def list_groups(work: Work, wanted: WantedGroups) -> Made:
    """List the groups that the caller may see."""
    statement = select(Group).where(_visible(work.caller))
    if wanted.student_id is not None:
        of_student = select(GroupStudent.group_id).where(GroupStudent.student_id == wanted.student_id)
        statement = statement.where(Group.id.in_(of_student))
    if wanted.teacher_id is not None:
        statement = statement.where(Group.id.in_(_taught_by(wanted.teacher_id)))
    statement = statement.where(archived_as_wanted(Group, archived=wanted.archived))
    rows, following = await rows_of_page(work.session, statement, Group, wanted.page)
    return made(GroupsAnswer(groups=tuple(map(_in_list, rows)), next=following))


async def change_group(work: Work, group_id: UUID, body: ChangedGroup) -> Made:
    """Change a group, all its members with it.

    :raises MissingError: where the school has no such group.
    :raises NotAllowedError: where it is another teacher's.
    :raises InvalidInputError: where a member is none of the school's.
    """
    group = await find_group(work, group_id, to_change=True)
    work.expect(group.revision)
    await _refuse_wrong_members(work, body)
    group.name = body.name
    set_archived(group, work.now, archived=body.archived)
    group.revision += 1
    await _set_members(work, group, body)
    return await _shown(work, group)


async def find_group(work: Work, group_id: UUID, *, to_change: bool = False) -> Group:
    """Find a group that the caller sees.

    :raises MissingError: where the school has no such group.
    :raises NotAllowedError: where it is another teacher's.
    """
    # Locked where it is to change: of two who change it at once the second sees what the first made of it.
    group = await work.session.get(Group, (work.school_id, group_id), with_for_update=to_change or None)
    if group is None:
        raise MissingError("group")
    visible = await work.session.scalar(select(Group.id).where(Group.id == group_id, _visible(work.caller)))
    if visible is None:
        raise NotAllowedError("This group is not one of yours.")
    return group


def _visible(caller: Caller) -> ColumnElement[bool]:
    return Group.id.in_(_taught_by(caller.staff_id)) if caller.role == "teacher" else true()


def _taught_by(staff_id: UUID | None) -> Any:
    return select(GroupTeacher.group_id).where(GroupTeacher.staff_id == staff_id)


async def _refuse_wrong_members(work: Work, body: NewGroup) -> None:
    count = len(body.teachers) + len(body.students)
    wrong = [
        *await _wrong_members(work, body.teachers, Staff, "teachers"),
        *await _wrong_members(work, body.students, Student, "students"),
    ]
    if count > MEMBERS_LIMIT:
        message = f"{count} teachers and students together are too many"
        wrong.append(
            FieldError(pointer="/students", message=message, accepted=f"at most {MEMBERS_LIMIT} together")
        )
    refuse(wrong)


async def _wrong_members(work: Work, given: Sequence[str], table: Any, field: str) -> Iterable[FieldError]:
    ids = [UUID(text) for text in given]
    known = set(await work.session.scalars(select(table.id).where(table.id.in_(ids)))) if ids else set()
    seen: set[UUID] = set()
    wrong = []
    for place, member_id in enumerate(ids):
        pointer = f"/{field}/{place}"
        if member_id in seen:
            wrong.append(FieldError(pointer=pointer, message="the id stands twice", accepted="each id once"))
        elif member_id not in known:
            message = "the school has nobody of this id"
            accepted = "the id of a teacher or owner" if table is Staff else "the id of a student"
            wrong.append(FieldError(pointer=pointer, message=message, accepted=f"{accepted} of the school"))
        seen.add(member_id)
    return wrong


async def _set_members(work: Work, group: Group, body: NewGroup) -> None:
    for table, column, given in (
        (GroupTeacher, "staff_id", body.teachers),
        (GroupStudent, "student_id", body.students),
    ):
        wanted = {UUID(text) for text in given}
        rows: Any = await work.session.scalars(select(table).where(table.group_id == group.id))
        there = {getattr(row, column): row for row in rows}
        for member_id in there.keys() - wanted:
            await work.session.delete(there[member_id])
        work.session.add_all(
            table(school_id=work.school_id, group_id=group.id, **{column: member_id})
            for member_id in sorted(wanted - there.keys())
        )
    await work.session.flush()


async def _shown(work: Work, group: Group) -> Made:
    of_group = GroupTeacher.group_id == group.id
    teachers = await work.session.scalars(select(GroupTeacher.staff_id).where(of_group))
    students = await work.session.scalars(
        select(GroupStudent.student_id).where(GroupStudent.group_id == group.id)
    )
    answer = GroupAnswer(
        id=group.id,
        name=group.name,
        teachers=tuple(sorted(teachers)),
        students=tuple(sorted(students)),
        archived=group.archived_at is not None,
        created_at=group.created_at,
        revision=group.revision,
    )
    return made(answer, group.revision, f"/v1/groups/{group.id}")


def _in_list(group: Group) -> GroupInList:
    return GroupInList(
        id=group.id,
        name=group.name,
        archived=group.archived_at is not None,
        created_at=group.created_at,
        revision=group.revision,
    )
