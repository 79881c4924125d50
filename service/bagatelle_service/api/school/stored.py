"""What every operation on stored things shares: one transaction, If-Match, Idempotency-Key, ETags."""

import asyncio
import re
from collections.abc import Awaitable, Callable
from contextlib import AbstractAsyncContextManager
from datetime import datetime
from typing import Any, Final, TypeVar
from uuid import UUID, uuid4

from bagatelle.decode import decode
from litestar import Request, Response
from msgspec import Struct

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
from bagatelle_service.school.sessions import Sessions
from bagatelle_service.school.trail import Trail
from bagatelle_service.school.work import Work

AnyRequest = Request[Any, Any, Any]
Body = TypeVar("Body", bound=Struct)
Checked = TypeVar("Checked")
Found = TypeVar("Found")
_TAG: Final = re.compile(r'"(0|[1-9][0-9]{0,9})(\.[0-9a-f]{8})?"')
"""A revision, and what else an answer says that no change is made from (`bagatelle_service.school.answers`)."""


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
        return _answer(request, await self._made_now(request, again, lambda work: act(work, body)))

    async def take_in(
        self,
        request: AnyRequest,
        read: Callable[[bytes], Body],
        check: Callable[[Body], Awaitable[Checked]],
        act: Callable[[Work, Checked], Awaitable[Made]],
        *,
        dry_run: bool,
    ) -> Response[bytes]:
        """Answer a POST of much at once, as `make` does; or say, with 200, what it would do.

        :param read: from the body, in a thread, as it may take long.
        :param check: what takes long, before a transaction begins.
        :param act: in a dry run it gets a transaction that can only read.
        """
        raw = await read_body(request)
        again = None if dry_run else _repeatable(request, raw)
        before = await self._made_before(request, again)
        if before is not None:
            return _answer(request, before)
        checked = await check(await asyncio.to_thread(read, raw))
        if dry_run:
            return _answer(request, await self._read(request, lambda work: act(work, checked)), status=200)
        return _answer(request, await self._made_now(request, again, lambda work: act(work, checked)))

    async def _made_now(
        self, request: AnyRequest, again: Repeatable | None, act: Callable[[Work], Awaitable[Made]]
    ) -> Made:
        try:
            return await self._make_once(request, again, act)
        except (ClashError, SchoolError):
            # The same request may have come twice at once: what the other made is the answer.
            found = await self._made_before(request, again)
            if found is None:
                raise
            return found

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

    async def put_text(
        self,
        request: AnyRequest,
        read: Callable[[bytes], Awaitable[Checked]],
        act: Callable[[Work, Checked], Awaitable[Made]],
    ) -> Response[bytes]:
        """Answer a PUT of a text that is no JSON.

        :param read: from the body, before a transaction begins: what takes long holds up no other writer.
        """
        checked = await read(await read_body(request))
        async with self._session(request, writes=True) as work:
            made = await act(work, checked)
            work.session.add(work.entry())
        return _answer(request, made)

    async def remove(self, request: AnyRequest, act: Callable[[Work], Awaitable[None]]) -> Response[None]:
        """Answer a DELETE."""
        async with self._session(request, writes=True) as work:
            await act(work)
            work.session.add(work.entry())
        return Response(None, status_code=204)

    async def look(self, request: AnyRequest, act: Callable[[Work], Awaitable[Found]]) -> Found:
        """Find out what a change needs to know, before its transaction: what takes long holds up no writer."""
        async with self._session(request, writes=False) as work:
            return await act(work)

    async def _read(self, request: AnyRequest, act: Callable[[Work], Awaitable[Found]]) -> Found:
        async with self._session(request, writes=False) as work:
            found = await act(work)
        self.trail.was_read(work)
        return found

    async def show_worked_out(
        self,
        request: AnyRequest,
        look: Callable[[Work], Awaitable[Found]],
        work_out: Callable[[Found], Awaitable[Made]],
    ) -> Response[bytes]:
        """Answer a GET that takes long to work out: no transaction is open meanwhile."""
        return _answer(request, await work_out(await self._read(request, look)))

    async def show(self, request: AnyRequest, act: Callable[[Work], Awaitable[Made]]) -> Response[bytes]:
        """Answer a GET."""
        made = await self._read(request, act)
        if made.etag is not None and matches(request.headers.get("if-none-match", ""), made.etag):
            return Response(b"", status_code=304, media_type=JSON, headers={"ETag": made.etag})
        return _answer(request, made)

    def sessions(self, request: AnyRequest) -> Sessions:
        """Give the transactions of a request to work that opens several, one after the other."""
        given = request.headers.get("if-match")
        return Sessions(
            storage=self.storage,
            trail=self.trail,
            caller=caller_of(request),
            school_id=_school_of(request),
            now=self.now,
            operation=_operation(request).operation_id,
            given_revisions=None if given is None else _revisions(given),
            any_revision=given is not None and given.strip() == "*",
        )

    async def work_out(
        self,
        request: AnyRequest,
        kind: type[Body],
        act: Callable[[Sessions, Body], Awaitable[Made]],
    ) -> Response[bytes]:
        """Answer a POST or a PUT whose work opens its transactions by itself, and keeps the trail."""
        body = decode(await read_body(request), kind)
        return _answer(request, await act(self.sessions(request), body))

    def _session(self, request: AnyRequest, *, writes: bool) -> AbstractAsyncContextManager[Work]:
        return self.sessions(request).open(writes=writes)


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
    query = request.scope["query_string"].decode("latin-1")
    asked = f"{request.method} {request.scope['path']}?{query}\n".encode() + raw
    return repeatable(key, asked, caller_of(request).secret)


def _answer(request: AnyRequest, made: Made, status: int | None = None) -> Response[bytes]:
    headers = {"ETag": made.etag} if made.etag is not None else {}
    status = 201 if made.is_new else status or _operation(request).status
    if status == 201 and made.location is not None:
        headers["Location"] = made.location
    media_type = _operation(request).media_type
    return Response(made.body, status_code=status, media_type=media_type, headers=headers)


def _operation(request: AnyRequest) -> Operation:
    operation = operation_of(request)
    if operation is None:
        raise TypeError("a handler on stored things has an operation")
    return operation
