"""Which students a caller reaches: all of the school, those of the own groups, or one."""

from typing import Any
from uuid import UUID

from sqlalchemy import ColumnElement, select, true
from sqlalchemy.ext.asyncio import AsyncSession

from bagatelle_service.database.tables import Group, GroupStudent, GroupTeacher, Student
from bagatelle_service.school.caller import Caller
from bagatelle_service.school.errors import MissingError, NotAllowedError
from bagatelle_service.school.roles import EVERYWHERE


def within_reach(caller: Caller) -> ColumnElement[bool]:
    """Say in SQL whether the caller reaches a student."""
    if caller.role in EVERYWHERE:
        return true()
    if caller.role == "teacher":
        return Student.id.in_(_students_of_own_groups(caller))
    return Student.id == caller.student_id


def _students_of_own_groups(caller: Caller) -> Any:
    return (
        select(GroupStudent.student_id)
        .join(GroupTeacher, GroupTeacher.group_id == GroupStudent.group_id)
        .join(Group, Group.id == GroupStudent.group_id)
        .where(GroupTeacher.staff_id == caller.staff_id, Group.archived_at.is_(None))
    )


async def find_student(session: AsyncSession, caller: Caller, student_id: UUID) -> Student:
    """Find a student whom the caller reaches.

    :raises MissingError: where the school has no such student.
    :raises NotAllowedError: where it has, and the caller does not reach them.
    """
    student = await session.get(Student, (caller.school_id, student_id))
    if student is None:
        raise MissingError("student")
    if caller.role in EVERYWHERE:
        return student
    if caller.role in EVERYWHERE:
        return student
    reached = await session.scalar(select(Student.id).where(Student.id == student_id, within_reach(caller)))
    if reached is None:
        raise NotAllowedError("This student is not one of yours.")
    return student
