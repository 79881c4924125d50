"""`GET /v1/policy`: the numbers that plans are decided with."""

from typing import Any

import msgspec
from bagatelle.policy import POLICY_VERSION, PolicyEntry, policy_table
from litestar import Request, Response, get
from litestar.handlers import HTTPRouteHandler
from msgspec import Struct

from bagatelle_service.api.answering import tagged_answer
from bagatelle_service.api.operation import OPT_KEY, Example, Operation, from_file


class PolicyAnswer(Struct, frozen=True, kw_only=True):
    """The policy table of the engine in use."""

    version: str
    entries: tuple[PolicyEntry, ...]


SHOW_POLICY = Operation(
    operation_id="show_policy",
    tag="plans",
    summary="Show the numbers that plans are decided with",
    description=(
        "One versioned table. A request may change the entries that are open to requests, within their bounds, "
        "under `policy`."
    ),
    answer=PolicyAnswer,
    answer_description="The table.",
    answer_examples=(Example("table", "The first rows of the table", from_file("policy-answer")),),
    cached=True,
)


def policy_routes() -> list[HTTPRouteHandler]:
    """Make the handler."""
    body = msgspec.json.encode(PolicyAnswer(version=POLICY_VERSION, entries=tuple(policy_table())))

    @get("/v1/policy", opt={OPT_KEY: SHOW_POLICY})
    async def show_policy(request: Request[Any, Any, Any]) -> Response[bytes]:
        return tagged_answer(request, body)

    return [show_policy]
