"""`/v1/caller`: who a token is."""

from typing import Any

import msgspec
from litestar import Request, Response, get
from litestar.handlers import HTTPRouteHandler

from bagatelle_service.api.access import caller_of
from bagatelle_service.api.answering import json_answer
from bagatelle_service.api.operation import OPT_KEY, Example, Operation, from_file
from bagatelle_service.school.caller import CallerAnswer, caller_answer

AnyRequest = Request[Any, Any, Any]


SHOW_CALLER = Operation(
    operation_id="show_caller",
    tag="school",
    summary="Show who asks",
    description="Who the token is and what it may do. Any token will do.",
    stored=True,
    scope=None,
    answer=CallerAnswer,
    answer_description="Who the token is.",
    answer_examples=(Example("teacher", "A teacher's token", from_file("caller-answer")),),
)


def caller_routes() -> list[HTTPRouteHandler]:
    """Make the handlers."""

    @get("/v1/caller", opt={OPT_KEY: SHOW_CALLER})
    async def show(request: AnyRequest) -> Response[bytes]:
        return json_answer(msgspec.json.encode(caller_answer(caller_of(request))))

    return [show]
