"""From what a request shows to who asks."""

from collections.abc import Callable
from datetime import datetime
from typing import Any, Final

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bagatelle_service.database.storage import Storage, enter_school
from bagatelle_service.database.tables import Identity, OperatorToken, Token
from bagatelle_service.school.caller import Caller
from bagatelle_service.school.errors import NotAdmittedError
from bagatelle_service.school.members import is_shut_out, member_of, role_of, student_reached
from bagatelle_service.school.outside_issuer import OutsideIssuer, Word, is_outside_token
from bagatelle_service.school.roles import SCOPES_OF
from bagatelle_service.school.secrets import hash_of, same

NOT_IN_FORCE: Final = "The token is unknown, has expired or was taken back."
TIED_TO_NOBODY: Final = "The token's subject is tied to nobody here, or to somebody archived."


class Admission:
    """Finds who asks."""

    def __init__(
        self, storage: Storage, now: Callable[[], datetime], outside_issuer: OutsideIssuer | None = None
    ) -> None:
        self._storage = storage
        self._now = now
        self._outside_issuer = outside_issuer

    async def caller_of(self, secret: str) -> Caller:
        """Find whose token was shown.

        :raises NotAdmittedError: where it is nobody's, or no longer in force.
        :raises IssuerOutOfReachError: where it is an outside issuer's, which does not answer.
        """
        if self._outside_issuer is not None and is_outside_token(secret):
            return await self._tied_to(await self._outside_issuer.word_of(secret))
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
            expires_at=token.expires_at,
        )

    def _check(self, token: Token | OperatorToken, shown: bytes) -> None:
        expired = token.expires_at is not None and token.expires_at <= self._now()
        if expired or token.revoked_at is not None or not same(token.hash, shown):
            raise NotAdmittedError(NOT_IN_FORCE)

    async def _tied_to(self, word: Word) -> Caller:
        async with self._storage.read_presented(word.subject_hash) as session:
            identity = await session.scalar(select(Identity).where(Identity.hash == word.subject_hash))
            if identity is None:
                raise NotAdmittedError(TIED_TO_NOBODY)
            await enter_school(session, identity.school_id)
            member = await member_of(session, identity)
            if member is None or await is_shut_out(session, identity.school_id, member):
                raise NotAdmittedError(TIED_TO_NOBODY)
            role = role_of(member)
            return Caller(
                role=role,
                scopes=SCOPES_OF[role],
                token_id=identity.id,
                pseudonym=member.pseudonym,
                secret=word.secret,
                school_id=identity.school_id,
                staff_id=identity.staff_id,
                student_id=student_reached(identity, member),
                guardian_id=identity.guardian_id,
                expires_at=word.expires_at,
            )


async def member_caller(session: AsyncSession, token: Token, secret: str) -> Caller:
    """Say who a school's token is, where the school and the member are still active.

    :raises NotAdmittedError: where one of them is archived.
    """
    member = await member_of(session, token)
    if await is_shut_out(session, token.school_id, member):
        raise NotAdmittedError(NOT_IN_FORCE)
    # An app is no member: its token alone says what it is.
    role: Any = token.role if member is None else role_of(member)
    said = token.scopes.split()
    return Caller(
        role=role,
        scopes=frozenset(scope for scope in SCOPES_OF[role] if scope in said),
        token_id=token.id,
        pseudonym=token.pseudonym if member is None else member.pseudonym,
        secret=secret,
        school_id=token.school_id,
        staff_id=token.staff_id,
        student_id=student_reached(token, member),
        guardian_id=token.guardian_id,
        expires_at=token.expires_at,
        tokens_until=token.expires_at,
    )
