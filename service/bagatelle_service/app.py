"""The application factory: the only place that knows every part of the service."""

from collections.abc import AsyncIterator, Callable, Sequence
from contextlib import asynccontextmanager
from datetime import UTC, datetime
from functools import cache
from typing import Any

import msgspec
from bagatelle import Instruments
from bagatelle.model.errors import PluginError
from bagatelle.toml_catalogue import CatalogueText
from litestar import Litestar, Request, Router
from litestar.handlers import BaseRouteHandler, HTTPRouteHandler
from sqlalchemy.ext.asyncio import AsyncEngine

from bagatelle_service.api.access import make_guard, school_of_caller
from bagatelle_service.api.docs import docs_routes
from bagatelle_service.api.document import build_document
from bagatelle_service.api.engine_of import EngineOf
from bagatelle_service.api.errors import problem_response
from bagatelle_service.api.health import health_routes
from bagatelle_service.api.operation import BODY_LIMIT_BYTES
from bagatelle_service.api.school.assignments import assignment_routes
from bagatelle_service.api.school.bundles import bundle_routes
from bagatelle_service.api.school.callers import caller_routes
from bagatelle_service.api.school.days import day_routes
from bagatelle_service.api.school.days_off import days_off_routes
from bagatelle_service.api.school.glance import glance_routes
from bagatelle_service.api.school.groups import group_routes
from bagatelle_service.api.school.guardians import guardian_routes
from bagatelle_service.api.school.identities import identity_routes
from bagatelle_service.api.school.imports import import_routes
from bagatelle_service.api.school.invitations import invitation_routes
from bagatelle_service.api.school.logs import log_routes
from bagatelle_service.api.school.own_catalogues import own_catalogue_routes
from bagatelle_service.api.school.plans import plan_routes
from bagatelle_service.api.school.preparations import preparation_routes
from bagatelle_service.api.school.progress import progress_routes
from bagatelle_service.api.school.redemptions import redemption_routes
from bagatelle_service.api.school.routine_revisions import revision_routes
from bagatelle_service.api.school.routines import routine_routes
from bagatelle_service.api.school.schools import school_routes
from bagatelle_service.api.school.staff import staff_routes
from bagatelle_service.api.school.stored import Stored
from bagatelle_service.api.school.student_rights import student_rights_routes
from bagatelle_service.api.school.students import student_routes
from bagatelle_service.api.school.tokens import token_routes
from bagatelle_service.api.school.trail import trail_routes
from bagatelle_service.api.strictness import check_request
from bagatelle_service.api.v1.catalogue import catalogue_routes
from bagatelle_service.api.v1.catalogue_form import catalogue_form_routes
from bagatelle_service.api.v1.compressions import engine_routes
from bagatelle_service.api.v1.forecasts import forecast_routes
from bagatelle_service.api.v1.policy import policy_routes
from bagatelle_service.database.connection import connect, database_url
from bagatelle_service.database.storage import Storage
from bagatelle_service.engine_calls import EngineCalls, OutOfTimeError
from bagatelle_service.engine_processes import EngineProcesses
from bagatelle_service.engine_questions import Question, answer_to
from bagatelle_service.frame import Frame
from bagatelle_service.hook_guard import HookGuard
from bagatelle_service.joined_instruments import JoinedInstruments
from bagatelle_service.origins import Origins, read_origins
from bagatelle_service.plugin_watch import PluginWatch
from bagatelle_service.school.admission import Admission
from bagatelle_service.school.erasure_ledger import Ledger
from bagatelle_service.school.outside_issuer import outside_issuer_of
from bagatelle_service.school.permits import Permits
from bagatelle_service.school.trail import Trail
from bagatelle_service.school_engine import AskWith, SchoolEngine
from bagatelle_service.school_engines import SchoolEngines
from bagatelle_service.settings import Settings
from bagatelle_service.signing import signing_key_of


def create_app(
    settings: Settings,
    instruments: Instruments,
    *,
    database: AsyncEngine | None = None,
    processes: EngineProcesses | None = None,
    extra_routes: Sequence[BaseRouteHandler] = (),
    now: Callable[[], datetime] = lambda: datetime.now(UTC),
) -> Frame:
    """Put the service together.

    :param database: where it is not to be made from the settings' URL. Closed with the application.
    :param processes: what answers for the engine; without them it runs in threads of this process, with the
        instruments given. Closed with the application.
    :param extra_routes: handlers beside the service's own, under the same strictness; one that describes itself
        (`opt={"operation": ...}`) appears in the description.
    :param now: the clock, for what expires and what is noted with its time.
    """
    database = database or connect(database_url(settings.database_url))
    engine_calls = EngineCalls(settings.engine_threads, settings.clock_seconds)
    watch = processes.watch if processes is not None else PluginWatch(settings.plugin_limits, now)
    ask = processes.ask if processes is not None else _asker(instruments, engine_calls, watch)
    storage = Storage(database)
    engines = SchoolEngines(storage, instruments, engine_calls, ask)
    engine_of = _engine_of(engines)
    trail = Trail(storage)
    admission = Admission(storage, now, outside_issuer_of(settings, now))
    permits = Permits(storage, settings.requests_a_minute, now)
    guard = make_guard(admission, permits, is_open=settings.open)

    @cache
    def document() -> bytes:
        return msgspec.json.encode(build_document(litestar.routes))

    litestar = Litestar(
        route_handlers=[
            Router(
                "/",
                guards=[guard],
                route_handlers=[
                    *_planning_routes(engine_of),
                    *catalogue_routes(instruments, engine_of, engine_calls, watch),
                    *stored_routes(Stored(storage, trail, now), engine_of, engines.of_no_school, settings),
                    *extra_routes,
                ],
            ),
            *health_routes(database),
            *docs_routes(document),
        ],
        before_request=check_request,
        exception_handlers={Exception: problem_response},
        request_max_body_size=BODY_LIMIT_BYTES,
        lifespan=[lambda _: _life(engine_calls, processes, database, trail)],
        # Ours, not the framework's: the description, the log.
        openapi_config=None,
        logging_config=None,
        debug=False,
    )
    return Frame(litestar, Origins(read_origins(settings.cors_origins)))


def _planning_routes(engine_of: EngineOf) -> list[HTTPRouteHandler]:
    """What plans, and what it is decided by."""
    return [
        *engine_routes(engine_of),
        *forecast_routes(engine_of),
        *catalogue_form_routes(),
        *policy_routes(),
    ]


def stored_routes(
    stored: Stored, engine_of: EngineOf, of_no_school: SchoolEngine, settings: Settings
) -> list[HTTPRouteHandler]:
    """Make the handlers of everything stored."""
    code_permits = Permits(stored.storage, settings.redemptions_a_minute, stored.now)
    return [
        *school_routes(stored),
        *own_catalogue_routes(stored, engine_of, of_no_school),
        *token_routes(stored),
        *caller_routes(),
        *staff_routes(stored),
        *student_routes(stored),
        *guardian_routes(stored),
        *invitation_routes(stored),
        *redemption_routes(stored, code_permits),
        *identity_routes(stored, settings.oidc_issuer),
        *group_routes(stored),
        *routine_routes(stored, engine_of),
        *revision_routes(stored),
        *plan_routes(stored, engine_of),
        *preparation_routes(stored, engine_of, at_once=settings.engines + 1),
        *day_routes(stored),
        *bundle_routes(stored, signing_key_of(settings)),
        *progress_routes(stored, engine_of),
        *glance_routes(stored, engine_of),
        *log_routes(stored, engine_of),
        *days_off_routes(stored),
        *import_routes(stored, engine_of),
        *assignment_routes(stored, engine_of),
        *student_rights_routes(stored, Ledger(settings.erasure_ledger)),
        *trail_routes(stored),
    ]


@asynccontextmanager
async def _life(
    engine_calls: EngineCalls, processes: EngineProcesses | None, database: AsyncEngine, trail: Trail
) -> AsyncIterator[None]:
    try:
        if processes is not None:
            await processes.start()
        trail.start()
        yield
    finally:
        await trail.stop()
        engine_calls.close()
        if processes is not None:
            await processes.close()
        await database.dispose()


def _engine_of(engines: SchoolEngines) -> EngineOf:
    async def engine_of(request: Request[Any, Any, Any]) -> SchoolEngine:
        return await engines.of(school_of_caller(request))

    return engine_of


def _asker(instruments: Instruments, engine_calls: EngineCalls, watch: PluginWatch) -> AskWith:
    hook_guard = HookGuard(watch)
    joined = JoinedInstruments(instruments.guarded_by(hook_guard))

    async def ask(question: Question, body: bytes, catalogues: tuple[CatalogueText, ...] = ()) -> bytes:
        try:
            return await engine_calls.run(lambda: answer_to(question, body, joined.of(catalogues)))
        except OutOfTimeError as error:
            late = hook_guard.overdue()
            if late is None:
                raise
            raise PluginError(late.plugin, late.hook, late.exercise, str(error), "out-of-time") from error

    return ask
