"""Rate limits: how many requests a minute each token may make, shared by all processes through the database; and
how many codes of invitations all callers together may try, so that nobody guesses.

A process takes a twentieth of the minute's permits at a time, at most fifty, so that not every request writes. The
limit is never exceeded; each process that serves a token, or did before it ended, may hold back so many unused.
"""

import asyncio
from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any, Final
from uuid import UUID

from msgspec import Struct, field
from sqlalchemy import delete, update
from sqlalchemy.dialects import postgresql, sqlite
from sqlalchemy.ext.asyncio import AsyncSession

from bagatelle_service.database.storage import Storage
from bagatelle_service.database.tables import OperatorToken, PermitWindow, Token
from bagatelle_service.school.caller import OPERATOR_LEVEL, Caller
from bagatelle_service.school.errors import TooManyRequestsError

ALL_CALLERS: Final = UUID(int=1)
"""What all callers together are counted by; no token's or school's, as those are drawn at random."""
_PARTS = 20
_LARGEST_PART = 50
_OLD = timedelta(minutes=10)


class _Held(Struct):
    minute: datetime
    left: int
    used_up: bool
    asking: asyncio.Lock = field(default_factory=asyncio.Lock)
    """Held by the one request that asks for more; those at the same time wait for what it gets."""


class Permits:
    """Grants requests to tokens."""

    def __init__(self, storage: Storage, limit: int, now: Callable[[], datetime]) -> None:
        self._storage = storage
        self._limit = limit
        self._now = now
        self._part = max(1, min(limit // _PARTS, _LARGEST_PART))
        self._held: dict[UUID, _Held] = {}

    async def take(self, caller: Caller) -> None:
        """Take a permit for one request of a token.

        :raises TooManyRequestsError: where the minute's permits are used up.
        """
        await self._take(caller.token_id, caller)

    async def take_of_all(self) -> None:
        """Take a permit for one request of those that need no token: all callers together have the limit.

        :raises TooManyRequestsError: where the minute's permits are used up.
        """
        await self._take(ALL_CALLERS, None)

    async def _take(self, holder: UUID, caller: Caller | None) -> None:
        now = self._now()
        minute = now.replace(second=0, microsecond=0)
        held = self._held.get(holder)
        if held is None or held.minute != minute:
            held = self._held[holder] = _Held(minute, 0, used_up=False)
            self._forget_before(minute)
        if held.left == 0:
            async with held.asking:
                await self._see_to_more(holder, held, caller, now)
        if held.left == 0:
            who = "All callers together" if caller is None else "This token"
            raise TooManyRequestsError(self._limit, 60 - now.second, who)
        held.left -= 1

    async def _see_to_more(self, holder: UUID, held: _Held, caller: Caller | None, now: datetime) -> None:
        if held.left > 0 or held.used_up:
            return
        held.left = await self._ask_for_more(holder, caller, held.minute, now)
        held.used_up = held.left == 0

    def _forget_before(self, minute: datetime) -> None:
        for token_id in [token_id for token_id, held in self._held.items() if held.minute < minute]:
            del self._held[token_id]

    async def _ask_for_more(
        self, holder: UUID, caller: Caller | None, minute: datetime, now: datetime
    ) -> int:
        operates = caller is not None and caller.school_id == OPERATOR_LEVEL
        school_id = ALL_CALLERS if caller is None else caller.school_id
        async with self._storage.operate() if operates else self._storage.write(school_id) as session:
            granted = await self._count(session, holder, minute)
            table: Any = OperatorToken if operates else Token
            await session.execute(update(table).where(table.id == holder).values(last_used_at=now))
        return max(0, min(self._part, self._limit - (granted - self._part)))

    async def _count(self, session: AsyncSession, token_id: UUID, minute: datetime) -> int:
        await session.execute(delete(PermitWindow).where(PermitWindow.minute < minute - _OLD))
        insert = sqlite.insert if self._storage.engine.dialect.name == "sqlite" else postgresql.insert
        statement = insert(PermitWindow).values(token_id=token_id, minute=minute, granted=self._part)
        counted = statement.on_conflict_do_update(
            index_elements=[PermitWindow.token_id, PermitWindow.minute],
            set_={"granted": PermitWindow.granted + self._part},
        ).returning(PermitWindow.granted)
        granted: int = (await session.execute(counted)).scalar_one()
        return granted
