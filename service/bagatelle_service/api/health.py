"""`/health/live` and `/health/ready`."""

import asyncio
import logging
from typing import Any, Literal

import msgspec
from litestar import Request, Response, get
from litestar.handlers import HTTPRouteHandler
from msgspec import Struct
from sqlalchemy.exc import SQLAlchemyError
from sqlalchemy.ext.asyncio import AsyncEngine

from bagatelle_service.api import problems
from bagatelle_service.api.answering import json_answer
from bagatelle_service.api.operation import OPT_KEY, Example, Operation, from_file
from bagatelle_service.api.problems import ProblemError
from bagatelle_service.database.migrating import current_revision, newest_revision

logger = logging.getLogger("bagatelle_service.health")
DATABASE_CLOCK_SECONDS = 5


class LiveAnswer(Struct, frozen=True, kw_only=True):
    """The process answers."""

    status: Literal["live"] = "live"


class ReadyAnswer(Struct, frozen=True, kw_only=True):
    """The service can do its work."""

    status: Literal["ready"] = "ready"
    database_revision: str


SHOW_LIVE = Operation(
    operation_id="show_live",
    tag="service",
    summary="Tell whether the process answers",
    description="Looks at nothing else, so that a database fault restarts no process.",
    answer=LiveAnswer,
    answer_description="It does.",
    answer_examples=(Example("live", "The process answers", from_file("live-answer")),),
    needs_token=False,
)
SHOW_READY = Operation(
    operation_id="show_ready",
    tag="service",
    summary="Tell whether the service can do its work",
    description="The database must be within reach and migrated to the revision that this version needs.",
    answer=ReadyAnswer,
    answer_description="It can.",
    answer_examples=(Example("ready", "Reachable and migrated", from_file("ready-answer")),),
    needs_token=False,
    problems=(problems.NOT_READY,),
)


def health_routes(database: AsyncEngine) -> list[HTTPRouteHandler]:
    """Make the handlers."""
    newest = newest_revision()
    live = msgspec.json.encode(LiveAnswer())

    @get("/health/live", opt={OPT_KEY: SHOW_LIVE})
    async def show_live() -> Response[bytes]:
        return json_answer(live)

    @get("/health/ready", opt={OPT_KEY: SHOW_READY})
    async def show_ready(request: Request[Any, Any, Any]) -> Response[bytes]:
        try:
            async with asyncio.timeout(DATABASE_CLOCK_SECONDS):
                current = await current_revision(database)
        except (SQLAlchemyError, OSError, TimeoutError) as error:
            logger.warning(
                "request %s: the database is out of reach",
                request.scope["state"]["request_id"],
                exc_info=error,
            )
            raise ProblemError(problems.NOT_READY, "The database is out of reach.") from error
        if current != newest:
            detail = f"The database is at revision {current or 'none'}; this version needs {newest}."
            raise ProblemError(problems.NOT_READY, detail)
        return json_answer(msgspec.json.encode(ReadyAnswer(database_revision=newest)))

    return [show_live, show_ready]
