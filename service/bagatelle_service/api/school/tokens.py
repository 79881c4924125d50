"""`/v1/tokens`: what opens a school to programs."""

from typing import Any, Final

from litestar import Request, Response, delete, get, post
from litestar.handlers import HTTPRouteHandler

from bagatelle_service.api.operation import OPT_KEY, Example, Operation, from_file
from bagatelle_service.api.school.parameters import PageQuery, id_in_path, id_parameter, page_of
from bagatelle_service.api.school.stored import Stored
from bagatelle_service.api.strictness import query_of
from bagatelle_service.school.tokens import (
    NewToken,
    NewTokenAnswer,
    TokenAnswer,
    TokensAnswer,
    list_tokens,
    make_token,
    revoke_token,
    show_token,
)

AnyRequest = Request[Any, Any, Any]
_TOKEN_ID: Final = (id_parameter("token_id", "token"),)


MAKE_TOKEN = Operation(
    operation_id="make_token",
    tag="school",
    summary="Make a token",
    description=(
        "One more for the caller, or one for an app. It may do no more than the token that asks. Its secret is "
        "shown once; whoever loses it makes another and takes this one back. An app's token is the school's: it "
        "outlives who made it, until somebody takes it back."
    ),
    stored=True,
    scope="tokens.change",
    body=NewToken,
    body_examples=(Example("app", "An app that reads and writes routines", from_file("token")),),
    status=201,
    answer=NewTokenAnswer,
    answer_description="The token and its secret.",
    answer_examples=(Example("app", "An app's token", from_file("new-token-answer")),),
)
LIST_TOKENS = Operation(
    operation_id="list_tokens",
    tag="school",
    summary="List tokens",
    description="An owner sees all of the school, an app those of apps, anybody else their own.",
    stored=True,
    scope="tokens.change",
    query=PageQuery,
    answer=TokensAnswer,
    answer_description="One page of them.",
    answer_examples=(Example("tokens", "The only page", from_file("tokens-answer")),),
)
SHOW_TOKEN = Operation(
    operation_id="show_token",
    tag="school",
    summary="Show a token",
    description="All but its secret, which is not stored.",
    stored=True,
    scope="tokens.change",
    path_parameters=_TOKEN_ID,
    answer=TokenAnswer,
    answer_description="The token.",
    answer_examples=(Example("token", "A token", from_file("token-answer")),),
)
REVOKE_TOKEN = Operation(
    operation_id="revoke_token",
    tag="school",
    summary="Take a token back",
    description="From the next request on it opens nothing, in every process. Done twice, it stays so.",
    stored=True,
    scope="tokens.change",
    path_parameters=_TOKEN_ID,
    status=204,
    answer=None,
    answer_description="It opens nothing any more.",
)


def token_routes(stored: Stored) -> list[HTTPRouteHandler]:
    """Make the handlers."""

    @post("/v1/tokens", status_code=201, opt={OPT_KEY: MAKE_TOKEN})
    async def make(request: AnyRequest) -> Response[bytes]:
        return await stored.make(request, NewToken, make_token)

    @get("/v1/tokens", opt={OPT_KEY: LIST_TOKENS})
    async def show_list(request: AnyRequest) -> Response[bytes]:
        page = page_of(query_of(request, PageQuery))
        return await stored.show(request, lambda work: list_tokens(work, page))

    @get("/v1/tokens/{token_id:str}", opt={OPT_KEY: SHOW_TOKEN})
    async def show(request: AnyRequest) -> Response[bytes]:
        token_id = id_in_path(request, "token_id", "token")
        return await stored.show(request, lambda work: show_token(work, token_id))

    @delete("/v1/tokens/{token_id:str}", status_code=204, opt={OPT_KEY: REVOKE_TOKEN})
    async def revoke(request: AnyRequest) -> Response[None]:
        token_id = id_in_path(request, "token_id", "token")
        return await stored.remove(request, lambda work: revoke_token(work, token_id))

    return [make, show_list, show, revoke]
