"""Who may ask what: the guard of every operation."""

from collections.abc import Awaitable, Callable
from typing import Any, Final
from uuid import UUID

from litestar import Request
from litestar.connection import ASGIConnection
from litestar.handlers import BaseRouteHandler

from bagatelle_service.api.operation import OPT_KEY, Operation
from bagatelle_service.school.admission import Admission
from bagatelle_service.school.caller import Caller
from bagatelle_service.school.errors import NotAdmittedError, NotAllowedError
from bagatelle_service.school.permits import Permits

_CALLER: Final = "caller"
_SCHEME: Final = "bearer "
_LONGEST_AUTHORIZATION: Final = 8192
"""Ours are far shorter, and so is what issuers of tokens send; more is not hashed, or looked into, at all."""


Guard = Callable[[ASGIConnection[Any, Any, Any, Any], BaseRouteHandler], Awaitable[None]]


def make_guard(admission: Admission, permits: Permits, *, is_open: bool) -> Guard:
    """Make what lets a request in, or not. A function, as the framework copies guards."""

    async def guard(connection: ASGIConnection[Any, Any, Any, Any], handler: BaseRouteHandler) -> None:
        operation: Operation | None = handler.opt.get(OPT_KEY)
        stored = operation is not None and operation.stored
        if operation is not None and not operation.needs_token:
            return
        authorization = connection.headers.get("authorization", "")
        if is_open and not stored and not authorization:
            return
        if len(authorization) > _LONGEST_AUTHORIZATION:
            raise NotAdmittedError(f"Authorization is longer than {_LONGEST_AUTHORIZATION} characters.")
        secret = _shown(authorization)
        if secret is None:
            raise NotAdmittedError(
                "Show a token: Authorization: Bearer, a space, and the token. What stores nothing needs none where "
                "the service was started with `bagatelle serve --open`."
            )
        caller = await admission.caller_of(secret)
        await permits.take(caller)
        if operation is not None and operation.scope is not None and operation.scope not in caller.scopes:
            raise NotAllowedError(f"This needs a token with the scope {operation.scope}.")
        connection.scope["state"][_CALLER] = caller

    return guard


def enter_as(request: Request[Any, Any, Any], caller: Caller) -> None:
    """Say who asks, where an operation needs no token and finds that out by itself."""
    request.scope["state"][_CALLER] = caller


def _shown(authorization: str) -> str | None:
    if authorization[: len(_SCHEME)].lower() != _SCHEME:
        return None
    return authorization[len(_SCHEME) :].strip()


def school_of_caller(request: Request[Any, Any, Any]) -> UUID | None:
    """Return the school of who asks; None where nobody showed a token, and for the operator."""
    caller = request.scope["state"].get(_CALLER)
    return caller.school_id if isinstance(caller, Caller) and caller.role != "operator" else None


def caller_of(request: Request[Any, Any, Any]) -> Caller:
    """Return who the guard found.

    :raises TypeError: where the operation asks for no token, and yet for who asks.
    """
    caller = request.scope["state"].get(_CALLER)
    if not isinstance(caller, Caller):
        raise TypeError("this operation has no caller")
    return caller
