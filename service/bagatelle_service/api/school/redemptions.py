"""`/v1/invitations/redemptions`: how members come by their first token."""

from typing import Any

from bagatelle.decode import decode
from litestar import Request, Response, post
from litestar.handlers import HTTPRouteHandler

from bagatelle_service.api import problems
from bagatelle_service.api.access import enter_as
from bagatelle_service.api.operation import OPT_KEY, Example, Operation, from_file
from bagatelle_service.api.school.stored import Stored
from bagatelle_service.api.strictness import read_body
from bagatelle_service.school.permits import Permits
from bagatelle_service.school.redemptions import Redemption, RedemptionAnswer, invited, redeem

AnyRequest = Request[Any, Any, Any]


REDEEM_CODE = Operation(
    operation_id="redeem_code",
    tag="school",
    summary="Redeem the code of an invitation",
    description=(
        "Needs no token: the code is what lets in. It becomes a token of whom it invites, once; the token's secret "
        "is shown once. How many codes a minute may be tried is limited for all callers together."
    ),
    stored=True,
    needs_token=False,
    body=Redemption,
    body_examples=(Example("code", "A code as it was typed", from_file("redemption")),),
    status=201,
    answer=RedemptionAnswer,
    answer_description="The token and its secret, and whose it is.",
    answer_examples=(Example("student", "A student's token", from_file("redemption-answer")),),
    problems=(problems.UNKNOWN_ID, problems.SPENT, problems.TOO_MANY_REQUESTS, problems.BUSY),
)


def redemption_routes(stored: Stored, permits: Permits) -> list[HTTPRouteHandler]:
    """Make the handlers.

    :param permits: how many codes a minute all callers together may try.
    """

    @post("/v1/invitations/redemptions", status_code=201, opt={OPT_KEY: REDEEM_CODE})
    async def make(request: AnyRequest) -> Response[bytes]:
        body = decode(await read_body(request), Redemption)
        await permits.take_of_all()
        enter_as(request, await invited(stored.storage, body.code))
        return await stored.make(request, Redemption, redeem)

    return [make]
