"""`/v1/students/{student_id}/logs`: what a student did."""

from collections.abc import Iterable
from typing import Any, Final
from uuid import UUID

from litestar import Request, Response, delete, get, post, put
from litestar.handlers import HTTPRouteHandler

from bagatelle_service.api.engine_of import EngineOf
from bagatelle_service.api.operation import OPT_KEY
from bagatelle_service.api.school.log_operations import (
    LIST_LOGS,
    PUT_LOG,
    REMOVE_LOG,
    SHOW_LOG,
    STORE_LOGS,
    LogsQuery,
)
from bagatelle_service.api.school.parameters import id_in_path, page_of
from bagatelle_service.api.school.stored import Stored
from bagatelle_service.api.strictness import query_of
from bagatelle_service.engine_questions import Ask
from bagatelle_service.school.log_batches import store_log_entries
from bagatelle_service.school.log_entries import LogContent, NewLogEntries
from bagatelle_service.school.logged_units import KnownUnits, names_units, units_of_tasks
from bagatelle_service.school.logs import (
    WantedLogEntries,
    list_log_entries,
    put_log_entry,
    remove_log_entry,
    show_log_entry,
)

AnyRequest = Request[Any, Any, Any]
_ALL: Final = "/v1/students/{student_id:str}/logs"
_ONE: Final = _ALL + "/{log_id:str}"


def log_routes(stored: Stored, engine_of: EngineOf) -> list[HTTPRouteHandler]:
    """Make the handlers."""

    @put(_ONE, status_code=200, opt={OPT_KEY: PUT_LOG})
    async def store(request: AnyRequest) -> Response[bytes]:
        student_id, log_id = _ids(request)
        engine = await engine_of(request)
        units = _Units(stored, engine.ask, request, student_id)
        return await stored.change(
            request,
            LogContent,
            lambda work, body: put_log_entry(work, student_id, log_id, body, engine.instruments, units.known),
            lambda body: units.find([body]),
        )

    @get(_ONE, opt={OPT_KEY: SHOW_LOG})
    async def show(request: AnyRequest) -> Response[bytes]:
        student_id, log_id = _ids(request)
        return await stored.show(request, lambda work: show_log_entry(work, student_id, log_id))

    @delete(_ONE, status_code=204, opt={OPT_KEY: REMOVE_LOG})
    async def remove(request: AnyRequest) -> Response[None]:
        student_id, log_id = _ids(request)
        return await stored.remove(request, lambda work: remove_log_entry(work, student_id, log_id))

    @get(_ALL, opt={OPT_KEY: LIST_LOGS})
    async def show_list(request: AnyRequest) -> Response[bytes]:
        student_id = id_in_path(request, "student_id", "student")
        wanted = _wanted(query_of(request, LogsQuery))
        return await stored.show(request, lambda work: list_log_entries(work, student_id, wanted))

    @post(_ALL, status_code=201, opt={OPT_KEY: STORE_LOGS})
    async def store_many(request: AnyRequest) -> Response[bytes]:
        student_id = id_in_path(request, "student_id", "student")
        engine = await engine_of(request)
        units = _Units(stored, engine.ask, request, student_id)
        return await stored.make(
            request,
            NewLogEntries,
            lambda work, body: store_log_entries(work, student_id, body, engine.instruments, units.known),
            lambda body: units.find(body.entries),
        )

    return [store, show, remove, show_list, store_many]


class _Units:
    """What is found out of units before the transaction of one request."""

    def __init__(self, stored: Stored, ask: Ask, request: AnyRequest, student_id: UUID) -> None:
        self.known: KnownUnits = {}
        self._stored = stored
        self._ask = ask
        self._request = request
        self._student_id = student_id

    async def find(self, entries: Iterable[LogContent]) -> None:
        """Ask for the units of those tasks of which entries name any."""
        naming = [entry for entry in entries if names_units(entry)]
        if naming:
            self.known = await self._stored.look(
                self._request, lambda work: units_of_tasks(work, self._ask, self._student_id, naming)
            )


def _ids(request: AnyRequest) -> tuple[UUID, UUID]:
    return id_in_path(request, "student_id", "student"), id_in_path(request, "log_id", "log entry")


def _wanted(query: LogsQuery) -> WantedLogEntries:
    return WantedLogEntries(
        page=page_of(query),
        first=query.first or None,
        last=query.last or None,
        task_id=UUID(query.task) if query.task else None,
        kind=query.kind or None,
    )
