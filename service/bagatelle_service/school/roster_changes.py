"""What a row of a roster would change of a school, and the change itself."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Sequence
from typing import Annotated, Final, Literal
from uuid import UUID, uuid4

from bagatelle.model.errors import InvalidInputError
from msgspec import Meta, Struct
from sqlalchemy import func, select

from bagatelle_service.database.tables import Group, GroupStudent, GroupTeacher, Student
from bagatelle_service.school.fields import DisplayName, Key, Name, TimeZone, check_time_zone
from bagatelle_service.school.groups import MEMBERS_LIMIT
from bagatelle_service.school.import_rows import ReadRow, WrongCell, wrong_cells
from bagatelle_service.school.parts import in_parts
from bagatelle_service.school.work import Work

GROUPS_LIMIT: Final = 50
Outcome = Literal["made", "changed", "known"]


class RosterRow(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One student of a roster."""

    key: Key
    """What the student is known by when the roster comes again."""
    display_name: DisplayName
    time_zone: TimeZone
    groups: Annotated[tuple[Name, ...], Meta(max_length=GROUPS_LIMIT)] | None = None
    """Names of the groups that the student is to be in, and of no other. Left out, groups stay as they are."""


class There(Struct, kw_only=True):
    """What the school has of what a roster names."""

    students: dict[str, Student]
    """By key."""
    groups: dict[UUID, Group]
    """Those not archived; none where no row names any."""
    named: dict[str, list[Group]]
    members: dict[UUID, dict[UUID, GroupStudent]]
    """Of each student, by the group's id."""
    sizes: dict[UUID, int]
    """Of groups: teachers and students together."""


class StudentChange(Struct, kw_only=True):
    """What one row would change."""

    row: ReadRow[RosterRow]
    student: Student | None
    """None where the student is to be made."""
    outcome: Outcome
    fields: tuple[str, ...]
    """Those that are others than before; of one who is there."""
    joins: frozenset[UUID] = frozenset()
    leaves: frozenset[UUID] = frozenset()


async def look_up(work: Work, rows: Sequence[ReadRow[RosterRow]], *, to_change: bool) -> There:
    """Find what is there.

    :param to_change: whether it is to change, so that nobody else changes the groups meanwhile.
    """
    there = There(students={}, groups={}, named=defaultdict(list), members=defaultdict(dict), sizes=Counter())
    for part in in_parts([row.content.key for row in rows]):
        found = await work.session.scalars(select(Student).where(Student.key.in_(part)))
        there.students |= {str(student.key): student for student in found}
    if any(row.content.groups is not None for row in rows):
        await _look_up_groups(work, there, to_change=to_change)
    return there


async def _look_up_groups(work: Work, there: There, *, to_change: bool) -> None:
    session = work.session
    groups = select(Group).where(Group.archived_at.is_(None)).order_by(Group.id)
    for group in await session.scalars(groups.with_for_update() if to_change else groups):
        there.groups[group.id] = group
        there.named[group.name].append(group)
    for table in (GroupStudent, GroupTeacher):
        counted = select(table.group_id, func.count()).group_by(table.group_id)
        for group_id, count in (await session.execute(counted)).all():
            there.sizes[group_id] += count
    for part in in_parts([student.id for student in there.students.values()]):
        for member in await session.scalars(select(GroupStudent).where(GroupStudent.student_id.in_(part))):
            if member.group_id in there.groups:
                there.members[member.student_id][member.group_id] = member


def change_of(row: ReadRow[RosterRow], there: There) -> StudentChange:
    """Say what a row would change. Groups of a name that no group or several have are left out."""
    content = row.content
    student = there.students.get(content.key)
    named = [there.named.get(name, []) for name in content.groups or ()]
    wanted = frozenset(groups[0].id for groups in named if len(groups) == 1)
    if student is None:
        return StudentChange(row=row, student=None, outcome="made", fields=(), joins=wanted)
    now = frozenset(there.members.get(student.id, ()))
    joins, leaves = (wanted - now, now - wanted) if content.groups is not None else (frozenset(), frozenset())
    fields = [
        name for name in ("display_name", "time_zone") if getattr(content, name) != getattr(student, name)
    ]
    if joins or leaves:
        fields.append("groups")
    outcome: Outcome = "changed" if fields else "known"
    return StudentChange(
        row=row, student=student, outcome=outcome, fields=tuple(fields), joins=joins, leaves=leaves
    )


def wrong_of(change: StudentChange, there: There, *, update: bool) -> Iterator[WrongCell]:
    """Say what is wrong with a row, by what the school has."""
    row = change.row
    try:
        check_time_zone(row.content.time_zone)
    except InvalidInputError as error:
        yield from wrong_cells(error.errors, row.place, row.line)
    yield from _wrong_groups(row, there)
    if change.student is not None and change.student.archived_at is not None:
        accepted = "another key, or that student brought back first"
        yield row.wrong("key", "an archived student has the key", accepted)
    elif change.outcome == "changed" and not update:
        accepted = "what is stored of the student of this key, or `update=true`, which changes it"
        for field in change.fields:
            yield row.wrong(
                field, "the school has a student of this key, of whom it says another thing", accepted
            )


def _wrong_groups(row: ReadRow[RosterRow], there: There) -> Iterator[WrongCell]:
    accepted = "the name of one group that is not archived"
    for place, name in enumerate(row.content.groups or ()):
        count = len(there.named.get(name, ()))
        if count != 1:
            said = "no group has this name" if count == 0 else f"{count} groups have this name"
            yield row.wrong(f"groups/{place}", f"{name!r}: {said}", accepted)


def full_groups(changes: Iterable[StudentChange], there: There) -> Iterator[WrongCell]:
    """Name the rows for whom a group of theirs has no room."""
    changes = list(changes)
    sizes = Counter(there.sizes)
    for change in changes:
        sizes.subtract(change.leaves)
    for change in changes:
        for group_id in sorted(change.joins):
            sizes[group_id] += 1
            if sizes[group_id] > MEMBERS_LIMIT:
                message = f"the group {there.groups[group_id].name!r} is full"
                accepted = f"at most {MEMBERS_LIMIT} teachers and students together"
                yield change.row.wrong("groups", message, accepted)


async def store(work: Work, changes: Sequence[StudentChange], there: There) -> None:
    """Make and change students as said; in parts, so that others are answered in between."""
    for part in in_parts(changes):
        for change in part:
            _store_student(work, change)
        # Who joins a group must be there first.
        await work.session.flush()
        for change in part:
            if change.student is not None and change.outcome != "known":
                await _move(work, change, change.student.id, there)
                work.session.add(work.entry(about=change.student.pseudonym))
        await work.session.flush()
    for group_id in sorted({group for change in changes for group in change.joins | change.leaves}):
        there.groups[group_id].revision += 1
    await work.session.flush()


def _store_student(work: Work, change: StudentChange) -> None:
    content = change.row.content
    if change.student is None:
        change.student = _new_student(work, content)
    elif {"display_name", "time_zone"} & set(change.fields):
        change.student.display_name, change.student.time_zone = content.display_name, content.time_zone
        change.student.revision += 1


def _new_student(work: Work, content: RosterRow) -> Student:
    student = Student(
        school_id=work.school_id,
        id=uuid4(),
        key=content.key,
        display_name=content.display_name,
        time_zone=content.time_zone,
        pseudonym=uuid4(),
        revision=1,
        created_at=work.now,
        archived_at=None,
    )
    work.session.add(student)
    return student


async def _move(work: Work, change: StudentChange, student_id: UUID, there: There) -> None:
    for group_id in sorted(change.leaves):
        await work.session.delete(there.members[student_id][group_id])
    work.session.add_all(
        GroupStudent(school_id=work.school_id, group_id=group_id, student_id=student_id)
        for group_id in sorted(change.joins)
    )
