"""`/v1/invitations`: single-use codes that let members in."""

from typing import Annotated, Any, Final
from uuid import UUID

from litestar import Request, Response, delete, get, post
from litestar.handlers import HTTPRouteHandler
from msgspec import UNSET, Meta, UnsetType

from bagatelle_service.api import problems
from bagatelle_service.api.operation import OPT_KEY, Example, Operation, from_file
from bagatelle_service.api.school.parameters import (
    EXAMPLE_ID,
    PageQuery,
    id_in_path,
    id_parameter,
    page_of,
)
from bagatelle_service.api.school.stored import Stored
from bagatelle_service.api.strictness import query_of
from bagatelle_service.school.fields import IdText
from bagatelle_service.school.invitations import (
    InvitationAnswer,
    InvitationsAnswer,
    NewInvitations,
    NewInvitationsAnswer,
    State,
    WantedInvitations,
    list_invitations,
    make_invitations,
    revoke_invitation,
    show_invitation,
)

AnyRequest = Request[Any, Any, Any]
_INVITATION_ID: Final = (id_parameter("invitation_id", "invitation"),)


class InvitationsQuery(PageQuery, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Filters; several given must all hold."""

    staff: (
        Annotated[IdText, Meta(description="Only those of this teacher or owner.", examples=[EXAMPLE_ID])]
        | UnsetType
    ) = UNSET
    student: (
        Annotated[IdText, Meta(description="Only those of this student.", examples=[EXAMPLE_ID])] | UnsetType
    ) = UNSET
    guardian: (
        Annotated[IdText, Meta(description="Only those of this guardian.", examples=[EXAMPLE_ID])] | UnsetType
    ) = UNSET
    state: Annotated[State, Meta(description="Only those in this state.", examples=["open"])] | UnsetType = (
        UNSET
    )


MAKE_INVITATIONS = Operation(
    operation_id="make_invitations",
    tag="school",
    summary="Invite members",
    description=(
        "Makes a single-use code for each, all or none; every wrong row is named. The codes are shown once. A "
        "token lets in nobody who may do more than itself."
    ),
    stored=True,
    scope="invitations.change",
    body=NewInvitations,
    body_examples=(Example("two", "A student and a guardian", from_file("invitations")),),
    status=201,
    about_many=True,
    answer=NewInvitationsAnswer,
    answer_description="The invitations and their codes, in the order of the request.",
    answer_examples=(Example("two", "Two codes", from_file("new-invitations-answer")),),
)
LIST_INVITATIONS = Operation(
    operation_id="list_invitations",
    tag="school",
    summary="List invitations",
    description="All of the school's, without their codes, which are not stored.",
    stored=True,
    scope="invitations.change",
    query=InvitationsQuery,
    answer=InvitationsAnswer,
    answer_description="One page of them.",
    answer_examples=(Example("invitations", "The only page", from_file("invitations-answer")),),
)
SHOW_INVITATION = Operation(
    operation_id="show_invitation",
    tag="school",
    summary="Show an invitation",
    description="All but its code, which is not stored.",
    stored=True,
    scope="invitations.change",
    path_parameters=_INVITATION_ID,
    answer=InvitationAnswer,
    answer_description="The invitation.",
    answer_examples=(Example("invitation", "An invitation", from_file("invitation-answer")),),
)
REVOKE_INVITATION = Operation(
    operation_id="revoke_invitation",
    tag="school",
    summary="Take an invitation back",
    description="From the next request on its code opens nothing. Done twice, it stays so.",
    stored=True,
    scope="invitations.change",
    path_parameters=_INVITATION_ID,
    status=204,
    answer=None,
    answer_description="Its code opens nothing any more.",
    problems=(problems.SPENT,),
)


def invitation_routes(stored: Stored) -> list[HTTPRouteHandler]:
    """Make the handlers."""

    @post("/v1/invitations", status_code=201, opt={OPT_KEY: MAKE_INVITATIONS})
    async def make(request: AnyRequest) -> Response[bytes]:
        return await stored.make(request, NewInvitations, make_invitations)

    @get("/v1/invitations", opt={OPT_KEY: LIST_INVITATIONS})
    async def show_list(request: AnyRequest) -> Response[bytes]:
        wanted = _wanted(query_of(request, InvitationsQuery))
        return await stored.show(request, lambda work: list_invitations(work, wanted))

    @get("/v1/invitations/{invitation_id:str}", opt={OPT_KEY: SHOW_INVITATION})
    async def show(request: AnyRequest) -> Response[bytes]:
        invitation_id = id_in_path(request, "invitation_id", "invitation")
        return await stored.show(request, lambda work: show_invitation(work, invitation_id))

    @delete("/v1/invitations/{invitation_id:str}", status_code=204, opt={OPT_KEY: REVOKE_INVITATION})
    async def revoke(request: AnyRequest) -> Response[None]:
        invitation_id = id_in_path(request, "invitation_id", "invitation")
        return await stored.remove(request, lambda work: revoke_invitation(work, invitation_id))

    return [make, show_list, show, revoke]


def _wanted(query: InvitationsQuery) -> WantedInvitations:
    return WantedInvitations(
        page=page_of(query),
        staff_id=UUID(query.staff) if query.staff else None,
        student_id=UUID(query.student) if query.student else None,
        guardian_id=UUID(query.guardian) if query.guardian else None,
        state=query.state or None,
    )
