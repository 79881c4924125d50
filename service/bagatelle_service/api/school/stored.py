"""What every operation on stored things shares: one transaction, If-Match, Idempotency-Key, ETags."""

import re
from collections.abc import AsyncIterator, Awaitable, Callable
from contextlib import asynccontextmanager
from datetime import datetime
from typing import Any, Final, TypeVar
from uuid import UUID, uuid4

from bagatelle.decode import decode
from litestar import Request, Response
from msgspec import Struct
from sqlalchemy.ext.asyncio import AsyncSession

from bagatelle_service.api.access import caller_of
from bagatelle_service.api.answering import matches
from bagatelle_service.api.operation import JSON, Operation, operation_of
from bagatelle_service.api.school.parameters import id_in_path
from bagatelle_service.api.strictness import idempotency_key, read_body
from bagatelle_service.database.errors import ClashError
from bagatelle_service.database.storage import Storage
from bagatelle_service.school.answers import Made
from bagatelle_service.school.errors import SchoolError
from bagatelle_service.school.kept_answers import Repeatable, keep_answer, kept_answer, repeatable
from bagatelle_service.school.secrets import hash_of
from bagatelle_service.school.trail import Trail
from bagatelle_service.school.work import Work

AnyRequest = Request[Any, Any, Any]
Body = TypeVar("Body", bound=Struct)
_TAG: Final = re.compile(r'"(0|[1-9][0-9]{0,9})"')


class Stored(Struct, frozen=True):
    """Runs the work of handlers on what is stored."""

    storage: Storage
    trail: Trail
    now: Callable[[], datetime]

    async def make(
        self,
        request: AnyRequest,
        kind: type[Body],
        act: Callable[[Work, Body], Awaitable[Made]],
        check: Callable[[Body], Awaitable[None]] | None = None,
    ) -> Response[bytes]:
        """Answer a POST that stores; sent again under its Idempotency-Key, it gets the same answer.

        :param check: refuses a body before a transaction begins: what takes long holds up no other writer.
        """
        raw = await read_body(request)
        body = decode(raw, kind)
        again = _repeatable(request, raw)
        if check is not None:
            before = await self._made_before(request, again)
            if before is not None:
                return _answer(request, before)
            await check(body)
        try:
            made = await self._make_once(request, again, lambda work: act(work, body))
        except (ClashError, SchoolError):
            # The same request may have come twice at once: what the other made is the answer.
            found = await self._made_before(request, again)
            if found is None:
                raise
            made = found
        return _answer(request, made)

    async def _make_once(
        self, request: AnyRequest, again: Repeatable | None, act: Callable[[Work], Awaitable[Made]]
    ) -> Made:
        async with self._session(request, writes=True) as work:
            if again is not None and (made := await kept_answer(work, again)) is not None:
                return made
            made = await act(work)
            work.session.add(work.entry())
            if again is not None:
                keep_answer(work, again, made, about_many=_operation(request).about_many)
            return made

    async def _made_before(self, request: AnyRequest, again: Repeatable | None) -> Made | None:
        if again is None:
            return None
        async with self._session(request, writes=True) as work:
            return await kept_answer(work, again)

    async def change(
        self,
        request: AnyRequest,
        kind: type[Body],
        act: Callable[[Work, Body], Awaitable[Made]],
        check: Callable[[Body], Awaitable[None]] | None = None,
    ) -> Response[bytes]:
        """Answer a PUT.

        :param check: as in `make`.
        """
        body = decode(await read_body(request), kind)
        if check is not None:
            await check(body)
        async with self._session(request, writes=True) as work:
            made = await act(work, body)
            work.session.add(work.entry())
        return _answer(request, made)

    async def remove(self, request: AnyRequest, act: Callable[[Work], Awaitable[None]]) -> Response[None]:
        """Answer a DELETE."""
        async with self._session(request, writes=True) as work:
            await act(work)
            work.session.add(work.entry())
        return Response(None, status_code=204)

    async def show(self, request: AnyRequest, act: Callable[[Work], Awaitable[Made]]) -> Response[bytes]:
        """Answer a GET."""
        async with self._session(request, writes=False) as work:
            made = await act(work)
        self.trail.was_read(work)
        if made.etag is not None and matches(request.headers.get("if-none-match", ""), made.etag):
            return Response(b"", status_code=304, media_type=JSON, headers={"ETag": made.etag})
        return _answer(request, made)

    @asynccontextmanager
    async def _session(self, request: AnyRequest, *, writes: bool) -> AsyncIterator[Work]:
        school_id, storage = _school_of(request), self.storage
        if caller_of(request).role == "operator":
            opened = storage.operate(school_id, writes=writes)
        else:
            opened = storage.write(school_id) if writes else storage.read(school_id)
        async with opened as session:
            work = self._work(request, school_id, session)
            if writes:
                await work.hold_caller()
            yield work

    def _work(self, request: AnyRequest, school_id: UUID, session: AsyncSession) -> Work:
        given = request.headers.get("if-match")
        return Work(
            session=session,
            caller=caller_of(request),
            school_id=school_id,
            now=self.now(),
            operation=_operation(request).operation_id,
            given_revisions=None if given is None else _revisions(given),
            any_revision=given is not None and given.strip() == "*",
        )


def _school_of(request: AnyRequest) -> UUID:
    caller = caller_of(request)
    if caller.role != "operator":
        return caller.school_id
    if "school_id" in request.path_params:
        return id_in_path(request, "school_id", "school")
    # A school that is to be made has the same id where the request comes again.
    key = idempotency_key(request)
    return uuid4() if key is None else UUID(bytes=hash_of(f"{caller.token_id} {key}")[:16], version=4)


def _revisions(if_match: str) -> tuple[int, ...]:
    # RFC 9110, 13.1.1: compared strongly, so a weak tag is none of ours.
    return tuple(int(tag[1]) for part in if_match.split(",") if (tag := _TAG.fullmatch(part.strip())))


def _repeatable(request: AnyRequest, raw: bytes) -> Repeatable | None:
    key = idempotency_key(request)
    if key is None:
        return None
    asked = f"{request.method} {request.scope['path']}\n".encode() + raw
    return repeatable(key, asked, caller_of(request).secret)


def _answer(request: AnyRequest, made: Made) -> Response[bytes]:
    headers = {"ETag": made.etag} if made.etag is not None else {}
    status = _operation(request).status
    if status == 201 and made.location is not None:
        headers["Location"] = made.location
    return Response(made.body, status_code=status, media_type=JSON, headers=headers)


def _operation(request: AnyRequest) -> Operation:
    operation = operation_of(request)
    if operation is None:
        raise TypeError("a handler on stored things has an operation")
    return operation
