"""`/v1/staff/{staff_id}/identity` and the like: which subject of the outside issuer is which member."""

from collections.abc import Awaitable, Callable
from typing import Any, Final
from uuid import UUID

from litestar import Request, Response, delete, put
from litestar.handlers import HTTPRouteHandler
from msgspec import Struct

from bagatelle_service.api import problems
from bagatelle_service.api.operation import OPT_KEY, Example, Operation, PathParameter, from_file
from bagatelle_service.api.school.guardians import GUARDIAN_ID
from bagatelle_service.api.school.parameters import id_in_path
from bagatelle_service.api.school.staff import STAFF_ID, THING
from bagatelle_service.api.school.stored import Stored
from bagatelle_service.api.school.students import STUDENT_ID
from bagatelle_service.school.answers import Made
from bagatelle_service.school.identities import (
    IdentityAnswer,
    NewIdentity,
    guardian_to_tie,
    staff_to_tie,
    student_to_tie,
    tie,
    untie,
)
from bagatelle_service.school.members import Member
from bagatelle_service.school.work import Work

AnyRequest = Request[Any, Any, Any]


class _Kind(Struct, frozen=True):
    """One kind of members who can be tied."""

    name: str
    thing: str
    path: str
    parameter: tuple[PathParameter, ...]
    find: Callable[[Work, UUID], Awaitable[Member]]


_KINDS: Final = (
    _Kind("staff", THING, "/v1/staff/{staff_id:str}/identity", STAFF_ID, staff_to_tie),
    _Kind("student", "student", "/v1/students/{student_id:str}/identity", STUDENT_ID, student_to_tie),
    _Kind("guardian", "guardian", "/v1/guardians/{guardian_id:str}/identity", GUARDIAN_ID, guardian_to_tie),
)


def _tie_operation(kind: _Kind) -> Operation:
    return Operation(
        operation_id=f"tie_{kind.name}",
        tag="people",
        summary=f"Tie an outside issuer's subject to a {kind.thing}",
        description=(
            "From the next request on the issuer's tokens for this subject let the member in, with all that the "
            "role may do. It takes the place of any subject that was tied before; done twice, it stays so. Only "
            "where the service knows an outside issuer (OpenID Connect). A token lets in nobody who may do more "
            "than itself."
        ),
        stored=True,
        scope="invitations.change",
        path_parameters=kind.parameter,
        body=NewIdentity,
        body_examples=(Example("subject", "A subject, as the issuer names it", from_file("identity")),),
        answer=IdentityAnswer,
        answer_description="Who is tied. The subject is not stored, only a hash of it.",
        answer_examples=(Example("tied", "Who is tied", from_file(f"identity-{kind.name}-answer")),),
        problems=(problems.TAKEN, problems.NOT_FOUND),
    )


def _untie_operation(kind: _Kind) -> Operation:
    return Operation(
        operation_id=f"untie_{kind.name}",
        tag="people",
        summary=f"Untie the outside issuer's subject from a {kind.thing}",
        description=(
            "From the next request on the issuer's tokens do not let the member in. Done twice, it stays so."
        ),
        stored=True,
        scope="invitations.change",
        path_parameters=kind.parameter,
        status=204,
        answer=None,
        answer_description="No subject is tied to the member any more.",
    )


def identity_routes(stored: Stored, issuer: str | None) -> list[HTTPRouteHandler]:
    """Make the handlers.

    :param issuer: whose subjects are tied; None where the service knows no outside issuer.
    """
    return [handler for kind in _KINDS for handler in _routes_of(kind, stored, issuer)]


def _routes_of(kind: _Kind, stored: Stored, issuer: str | None) -> list[HTTPRouteHandler]:
    @put(kind.path, opt={OPT_KEY: _tie_operation(kind)})
    async def change(request: AnyRequest) -> Response[bytes]:
        member_id = id_in_path(request, kind.parameter[0].name, kind.thing)

        async def act(work: Work, body: NewIdentity) -> Made:
            return await tie(work, await kind.find(work, member_id), body, issuer)

        return await stored.change(request, NewIdentity, act)

    @delete(kind.path, status_code=204, opt={OPT_KEY: _untie_operation(kind)})
    async def remove(request: AnyRequest) -> Response[None]:
        member_id = id_in_path(request, kind.parameter[0].name, kind.thing)

        async def act(work: Work) -> None:
            await untie(work, await kind.find(work, member_id))

        return await stored.remove(request, act)

    return [change, remove]
