"""Members: the people whom a school lets in, each found from what is tied to them."""

from typing import Literal
from uuid import UUID

from sqlalchemy.ext.asyncio import AsyncSession

from bagatelle_service.database.tables import Guardian, OfAMember, School, Staff, Student
from bagatelle_service.school.errors import MissingError, NotAllowedError
from bagatelle_service.school.roles import SCOPES_OF, MemberRole
from bagatelle_service.school.work import Work

MemberKind = Literal["staff", "student", "guardian"]

Member = Staff | Student | Guardian


def ids_of(member: Member) -> dict[str, UUID | None]:
    """Say whom a row is tied to, by the names of its columns."""
    return {
        "staff_id": member.id if isinstance(member, Staff) else None,
        "student_id": member.id if isinstance(member, Student) else None,
        "guardian_id": member.id if isinstance(member, Guardian) else None,
    }


def role_of(member: Member) -> MemberRole:
    """Say what somebody is."""
    if isinstance(member, Staff):
        return "owner" if member.role == "owner" else "teacher"
    return "student" if isinstance(member, Student) else "guardian"


async def member_of(session: AsyncSession, tied: OfAMember) -> Member | None:
    """Find whom a row is tied to; None where it is tied to nobody."""
    school_id = tied.school_id
    if tied.staff_id is not None:
        return await session.get(Staff, (school_id, tied.staff_id))
    if tied.student_id is not None:
        return await session.get(Student, (school_id, tied.student_id))
    if tied.guardian_id is not None:
        return await session.get(Guardian, (school_id, tied.guardian_id))
    return None


def student_reached(tied: OfAMember, member: Member | None) -> UUID | None:
    """Say which one student a row lets somebody reach: the student it is tied to, or the guardian's."""
    return member.student_id if isinstance(member, Guardian) else tied.student_id


async def is_shut_out(session: AsyncSession, school_id: UUID, member: Member | None) -> bool:
    """Tell whether the school or the member is archived: then nothing is open to the member."""
    school = await session.get(School, school_id)
    archived = getattr(member, "archived_at", None) is not None
    return school is None or school.archived_at is not None or archived


async def find_staff(work: Work, staff_id: UUID, *, to_change: bool = False) -> Staff:
    """Find one of the staff.

    :param to_change: whether nobody else may change them until the work is done.
    :raises MissingError: where the school has no such person.
    """
    staff = await work.session.get(Staff, (work.school_id, staff_id), with_for_update=to_change)
    if staff is None:
        raise MissingError("member of the staff")
    return staff


async def find_guardian(work: Work, guardian_id: UUID, *, to_change: bool = False) -> Guardian:
    """Find a guardian of a student whom the caller reaches; the work is about that student from now on.

    :param to_change: whether nobody else may change or erase them until the work is done.
    :raises MissingError: where the school has no such guardian.
    :raises NotAllowedError: where the caller does not reach the student.
    """
    key = (work.school_id, guardian_id)
    guardian = await work.session.get(Guardian, key, with_for_update=to_change or None)
    if guardian is None:
        raise MissingError("guardian")
    await work.student(guardian.student_id)
    if work.caller.guardian_id not in (None, guardian.id):
        raise NotAllowedError("This is another guardian of the student.")
    return guardian


async def note_student_of(work: Work, tied: OfAMember) -> None:
    """Say for the trail which student something is about, where it is tied to one or to a guardian."""
    member = await member_of(work.session, tied)
    if isinstance(member, Guardian):
        member = await work.session.get(Student, (work.school_id, member.student_id))
    if isinstance(member, Student):
        work.is_about(member)


def refuse_letting_in(work: Work, kind: MemberKind) -> None:
    """See that the caller may do all that a new member may: else a token that only invites could make itself one.

    Of staff an owner's scopes count, as a teacher may become one.

    :raises NotAllowedError: where the caller may not.
    """
    role: MemberRole = "owner" if kind == "staff" else kind
    lacking = SCOPES_OF[role] - work.caller.scopes
    if lacking:
        raise NotAllowedError(
            f"Letting in a member ({kind}) needs a token that may do all that the member may; this one lacks "
            f"{', '.join(sorted(lacking))}."
        )
