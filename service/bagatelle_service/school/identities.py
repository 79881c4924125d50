"""Identities: which subject of the outside issuer is which member."""

from datetime import datetime
from typing import Annotated
from uuid import UUID, uuid4

from msgspec import Meta, Struct
from sqlalchemy import delete, select

from bagatelle_service.database.tables import Guardian, Identity, Staff, Student
from bagatelle_service.school.answers import Made, made
from bagatelle_service.school.erasing import lock_student
from bagatelle_service.school.errors import NoIssuerError, TakenError
from bagatelle_service.school.members import (
    Member,
    find_guardian,
    find_staff,
    ids_of,
    refuse_letting_in,
    role_of,
)
from bagatelle_service.school.outside_issuer import subject_hash
from bagatelle_service.school.work import Work

# OpenID Connect Core 1.0, section 2: a subject has at most 255 ASCII characters.
Subject = Annotated[str, Meta(min_length=1, max_length=255, pattern=r"^[\x20-\x7e]*$(?!\n)")]


class NewIdentity(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Whom the issuer means."""

    subject: Subject
    """The claim `sub` of the issuer's tokens. Only a hash of it is stored."""


class IdentityAnswer(Struct, frozen=True, kw_only=True):
    """A member whom the issuer's tokens let in."""

    issuer: str
    staff: UUID | None
    student: UUID | None
    guardian: UUID | None
    created_at: datetime


async def staff_to_tie(work: Work, staff_id: UUID) -> Staff:
    """Find somebody of the staff, to tie or untie.

    :raises MissingError: where the school has no such person.
    :raises NotAllowedError: where the caller may not let in staff.
    """
    staff = await find_staff(work, staff_id, to_change=True)
    refuse_letting_in(work, "staff")
    return staff


async def student_to_tie(work: Work, student_id: UUID) -> Student:
    """Find a student, to tie or untie.

    :raises MissingError: where the school has no such student.
    """
    student = await work.student(student_id)
    await lock_student(work.session, student_id)
    return student


async def guardian_to_tie(work: Work, guardian_id: UUID) -> Guardian:
    """Find a guardian, to tie or untie.

    :raises MissingError: where the school has no such guardian.
    """
    return await find_guardian(work, guardian_id, to_change=True)


async def tie(work: Work, member: Member, body: NewIdentity, issuer: str | None) -> Made:
    """Tie a subject to a member, in the place of any other that was.

    :raises NoIssuerError: where the service knows no outside issuer.
    :raises TakenError: where the subject is tied to somebody else.
    :raises NotAllowedError: where the caller may do less than the member.
    """
    role = role_of(member)
    refuse_letting_in(work, role if role in ("student", "guardian") else "staff")
    if issuer is None:
        raise NoIssuerError(
            "The service was started without an outside issuer, so nobody can be tied to one."
        )
    shown = subject_hash(issuer, body.subject)
    identity = await work.session.scalar(select(Identity).where(Identity.hash == shown))
    if identity is not None and not _is_of(identity, member):
        raise TakenError("This subject is tied to another member.")
    if identity is None:
        await untie(work, member)
        identity = Identity(
            school_id=work.school_id, id=uuid4(), hash=shown, created_at=work.now, **ids_of(member)
        )
        work.session.add(identity)
        await work.session.flush()
    return made(
        IdentityAnswer(
            issuer=issuer,
            staff=identity.staff_id,
            student=identity.student_id,
            guardian=identity.guardian_id,
            created_at=identity.created_at,
        )
    )


async def untie(work: Work, member: Member) -> None:
    """Untie whatever subject is tied to a member; done twice, it stays so."""
    (column, member_id) = next((name, value) for name, value in ids_of(member).items() if value is not None)
    await work.session.execute(delete(Identity).where(getattr(Identity, column) == member_id))


def _is_of(identity: Identity, member: Member) -> bool:
    return all(getattr(identity, name) == value for name, value in ids_of(member).items())
