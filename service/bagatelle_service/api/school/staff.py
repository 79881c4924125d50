"""`/v1/staff`: owners and teachers."""

from typing import Annotated, Any, Final

from litestar import Request, Response, get, post, put
from litestar.handlers import HTTPRouteHandler
from msgspec import UNSET, Meta, UnsetType

from bagatelle_service.api.operation import OPT_KEY, Example, Operation, from_file
from bagatelle_service.api.school.parameters import PageQuery, id_in_path, id_parameter, page_of
from bagatelle_service.api.school.stored import Stored
from bagatelle_service.api.strictness import query_of
from bagatelle_service.school.staff import (
    ChangedStaff,
    NewStaff,
    StaffAnswer,
    StaffListAnswer,
    StaffRole,
    WantedStaff,
    change_staff,
    list_staff,
    make_staff,
    show_staff,
)

AnyRequest = Request[Any, Any, Any]
THING: Final = "member of the staff"
STAFF_ID: Final = (id_parameter("staff_id", THING),)
_ONE: Final = (Example("teacher", "A teacher", from_file("staff-answer")),)


class StaffQuery(PageQuery, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Filters; several given must all hold."""

    role: (
        Annotated[StaffRole, Meta(description="Only owners, or only teachers.", examples=["teacher"])]
        | UnsetType
    ) = UNSET
    archived: (
        Annotated[bool, Meta(description="Only those archived, or only the others.", examples=[False])]
        | UnsetType
    ) = UNSET


MAKE_STAFF = Operation(
    operation_id="make_staff",
    tag="people",
    summary="Add a teacher or an owner",
    description="Stores a name and a role; no more. An invitation lets them in.",
    stored=True,
    scope="staff.change",
    body=NewStaff,
    body_examples=(Example("teacher", "A teacher", from_file("staff")),),
    status=201,
    has_revision=True,
    answer=StaffAnswer,
    answer_description="The teacher or owner.",
    answer_examples=_ONE,
)
LIST_STAFF = Operation(
    operation_id="list_staff",
    tag="people",
    summary="List the staff",
    description="All owners and teachers of the school.",
    stored=True,
    scope="staff.read",
    query=StaffQuery,
    answer=StaffListAnswer,
    answer_description="One page of them.",
    answer_examples=(Example("staff", "The only page", from_file("staff-list-answer")),),
)
SHOW_STAFF = Operation(
    operation_id="show_staff",
    tag="people",
    summary="Show a teacher or an owner",
    description="What is stored of the person.",
    stored=True,
    scope="staff.read",
    path_parameters=STAFF_ID,
    has_revision=True,
    answer=StaffAnswer,
    answer_description="The teacher or owner.",
    answer_examples=_ONE,
)
CHANGE_STAFF = Operation(
    operation_id="change_staff",
    tag="people",
    summary="Change or archive a teacher or an owner",
    description=(
        "Takes the whole person as they should be; a field left out has its default from now on. Tokens keep to "
        "the scopes that they were made with. A school keeps one active owner: the last is neither archived nor "
        "made a teacher."
    ),
    stored=True,
    scope="staff.change",
    path_parameters=STAFF_ID,
    body=ChangedStaff,
    body_examples=(Example("archived", "A teacher who has left", from_file("staff-changed")),),
    changes=True,
    has_revision=True,
    answer=StaffAnswer,
    answer_description="The teacher or owner as they are now.",
    answer_examples=_ONE,
)


def staff_routes(stored: Stored) -> list[HTTPRouteHandler]:
    """Make the handlers."""

    @post("/v1/staff", status_code=201, opt={OPT_KEY: MAKE_STAFF})
    async def make(request: AnyRequest) -> Response[bytes]:
        return await stored.make(request, NewStaff, make_staff)

    @get("/v1/staff", opt={OPT_KEY: LIST_STAFF})
    async def show_list(request: AnyRequest) -> Response[bytes]:
        wanted = _wanted(query_of(request, StaffQuery))
        return await stored.show(request, lambda work: list_staff(work, wanted))

    @get("/v1/staff/{staff_id:str}", opt={OPT_KEY: SHOW_STAFF})
    async def show(request: AnyRequest) -> Response[bytes]:
        staff_id = id_in_path(request, "staff_id", THING)
        return await stored.show(request, lambda work: show_staff(work, staff_id))

    @put("/v1/staff/{staff_id:str}", opt={OPT_KEY: CHANGE_STAFF})
    async def change(request: AnyRequest) -> Response[bytes]:
        staff_id = id_in_path(request, "staff_id", THING)
        return await stored.change(
            request, ChangedStaff, lambda work, body: change_staff(work, staff_id, body)
        )

    return [make, show_list, show, change]


def _wanted(query: StaffQuery) -> WantedStaff:
    return WantedStaff(
        page=page_of(query),
        role=query.role or None,
        archived=None if query.archived is UNSET else query.archived,
    )
