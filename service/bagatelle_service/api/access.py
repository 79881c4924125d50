"""Who may ask what. There are no tokens yet: either the service is open, or nobody may."""

from typing import Any

from litestar.connection import ASGIConnection
from litestar.handlers import BaseRouteHandler

from bagatelle_service.api.operation import OPT_KEY, Operation
from bagatelle_service.api.problems import NO_TOKEN, ProblemError


async def refuse_without_token(_: ASGIConnection[Any, Any, Any, Any], handler: BaseRouteHandler) -> None:
    """Guard a service that was not started with `--open`.

    :raises ProblemError: no-token, for every operation that needs one.
    """
    operation: Operation | None = handler.opt.get(OPT_KEY)
    if operation is None or operation.needs_token:
        raise ProblemError(
            NO_TOKEN,
            "This service was started without --open, so a token is needed, and it knows no tokens yet. "
            "Whoever runs it can start it with `bagatelle serve --open`.",
            headers={"WWW-Authenticate": 'Bearer realm="bagatelle"'},
        )
