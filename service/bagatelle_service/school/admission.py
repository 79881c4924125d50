"""From what a request shows to who asks."""

from collections.abc import Callable
from datetime import datetime
from typing import Any

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bagatelle_service.database.storage import Storage, enter_school
from bagatelle_service.database.tables import Guardian, OperatorToken, School, Staff, Student, Token
from bagatelle_service.school.caller import Caller
from bagatelle_service.school.errors import NotAdmittedError
from bagatelle_service.school.roles import SCOPES_OF
from bagatelle_service.school.secrets import hash_of, same

NOT_IN_FORCE = "The token is unknown, has expired or was taken back."


class Admission:
    """Finds who asks."""

    def __init__(self, storage: Storage, now: Callable[[], datetime]) -> None:
        self._storage = storage
        self._now = now

    async def caller_of(self, secret: str) -> Caller:
        """Find whose token was shown.

        :raises NotAdmittedError: where it is nobody's, or no longer in force.
        """
        shown = hash_of(secret)
        async with self._storage.read_presented(shown) as session:
            token = await session.scalar(select(Token).where(Token.hash == shown))
            if token is None:
                return await self._operator(session, secret, shown)
            self._check(token, shown)
            await enter_school(session, token.school_id)
            return await member_caller(session, token, secret)

    async def _operator(self, session: AsyncSession, secret: str, shown: bytes) -> Caller:
        token = await session.scalar(select(OperatorToken).where(OperatorToken.hash == shown))
        if token is None:
            raise NotAdmittedError(NOT_IN_FORCE)
        self._check(token, shown)
        return Caller(
            role="operator",
            scopes=SCOPES_OF["operator"],
            token_id=token.id,
            pseudonym=token.id,
            secret=secret,
        )

    def _check(self, token: Token | OperatorToken, shown: bytes) -> None:
        expired = token.expires_at is not None and token.expires_at <= self._now()
        if expired or token.revoked_at is not None or not same(token.hash, shown):
            raise NotAdmittedError(NOT_IN_FORCE)


async def member_caller(session: AsyncSession, token: Token, secret: str) -> Caller:
    """Say who a school's token is, where the school and the member are still active.

    :raises NotAdmittedError: where one of them is archived.
    """
    school = await session.get(School, token.school_id)
    member = await _member(session, token)
    student_id = member.student_id if isinstance(member, Guardian) else token.student_id
    archived = getattr(member, "archived_at", None) is not None
    if school is None or school.archived_at is not None or archived:
        raise NotAdmittedError(NOT_IN_FORCE)
    role: Any = member.role if isinstance(member, Staff) else token.role
    return Caller(
        role=role,
        scopes=frozenset(token.scopes.split()) & SCOPES_OF[role],  # type: ignore[arg-type]  # names of scopes
        token_id=token.id,
        pseudonym=token.pseudonym if member is None else member.pseudonym,
        secret=secret,
        school_id=token.school_id,
        staff_id=token.staff_id,
        student_id=student_id,
        guardian_id=token.guardian_id,
    )


async def _member(session: AsyncSession, token: Token) -> Staff | Student | Guardian | None:
    if token.staff_id is not None:
        return await session.get(Staff, (token.school_id, token.staff_id))
    if token.student_id is not None:
        return await session.get(Student, (token.school_id, token.student_id))
    if token.guardian_id is not None:
        return await session.get(Guardian, (token.school_id, token.guardian_id))
    return None
