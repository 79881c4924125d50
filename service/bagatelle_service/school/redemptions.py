"""Redemptions: the code of an invitation becomes a token of the member who was invited, once."""

from typing import Annotated, Any
from uuid import UUID

from msgspec import Meta, Struct
from sqlalchemy import select, update

from bagatelle_service.database.storage import Storage, enter_school
from bagatelle_service.database.tables import Invitation
from bagatelle_service.school.answers import Made, made
from bagatelle_service.school.caller import Caller
from bagatelle_service.school.errors import MissingError, SpentError
from bagatelle_service.school.members import is_shut_out, member_of, note_student_of, role_of, student_reached
from bagatelle_service.school.roles import MemberRole
from bagatelle_service.school.secrets import hash_of, read_code, same
from bagatelle_service.school.tokens import TokenAnswer, member_token, token_answer
from bagatelle_service.school.work import Work

_SPENT = "This code was used, was taken back, has expired, or whom it let in is archived."


class Redemption(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A code to be redeemed."""

    code: Annotated[str, Meta(min_length=1, max_length=64)]
    """As it was handed out; small letters, spaces and hyphens do not matter, nor I, L and O for 1, 1 and 0."""


class RedemptionAnswer(Struct, frozen=True, kw_only=True):
    """What a code came to: a token, and whose it is."""

    school: UUID
    role: MemberRole
    member: UUID
    """The id of the owner or teacher among the staff, of the student, or of the guardian."""
    token: TokenAnswer
    secret: str
    """Shown this once: only a hash of it is stored."""


async def invited(storage: Storage, code: str) -> Caller:
    """Find whom a code lets in. For this one request they are the caller, and may do nothing but redeem it.

    :raises MissingError: where no invitation has the code.
    :raises SpentError: where it lets in nobody any more; what was used already is left to `redeem` to refuse, as
        the same request may have used it.
    """
    secret = read_code(code)
    shown = hash_of(secret)
    async with storage.read_presented(shown) as session:
        invitation = await session.scalar(select(Invitation).where(Invitation.hash == shown))
        if invitation is None or not same(invitation.hash, shown):
            raise MissingError("invitation", known_by="code")
        await enter_school(session, invitation.school_id)
        member = await member_of(session, invitation)
        if member is None or await is_shut_out(session, invitation.school_id, member):
            raise SpentError(_SPENT)
        return Caller(
            role=role_of(member),
            scopes=frozenset(),
            token_id=invitation.id,
            pseudonym=member.pseudonym,
            secret=secret,
            school_id=invitation.school_id,
            staff_id=invitation.staff_id,
            student_id=student_reached(invitation, member),
            guardian_id=invitation.guardian_id,
        )


async def redeem(work: Work, body: Redemption) -> Made:
    """Turn a code into a token. Of several who try at once, one comes first and the others come too late.

    :raises SpentError: where the code was used, was taken back, has expired, or whom it let in is archived.
    """
    shown = hash_of(read_code(body.code))
    in_force = (
        Invitation.hash == shown,
        Invitation.used_at.is_(None),
        Invitation.revoked_at.is_(None),
        Invitation.expires_at > work.now,
    )
    done: Any = await work.session.execute(update(Invitation).where(*in_force).values(used_at=work.now))
    invitation = await work.session.scalar(select(Invitation).where(Invitation.hash == shown))
    member = None if invitation is None else await member_of(work.session, invitation)
    if done.rowcount != 1 or invitation is None or member is None:
        raise SpentError(_SPENT)
    if await is_shut_out(work.session, work.school_id, member):
        raise SpentError(_SPENT)
    token, secret = member_token(work, member)
    work.session.add(token)
    await work.session.flush()
    await note_student_of(work, invitation)
    answer = RedemptionAnswer(
        school=work.school_id,
        role=role_of(member),
        member=member.id,
        token=token_answer(token),
        secret=secret,
    )
    return made(answer, location=f"/v1/tokens/{token.id}")
