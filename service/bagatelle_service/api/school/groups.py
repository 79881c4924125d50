"""`/v1/groups`: who is taught by whom."""

from typing import Annotated, Any, Final
from uuid import UUID

from litestar import Request, Response, get, post, put
from litestar.handlers import HTTPRouteHandler
from msgspec import UNSET, Meta, UnsetType

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
from bagatelle_service.school.groups import (
    ChangedGroup,
    GroupAnswer,
    GroupsAnswer,
    NewGroup,
    WantedGroups,
    change_group,
    list_groups,
    make_group,
    show_group,
)

AnyRequest = Request[Any, Any, Any]
GROUP_ID: Final = (id_parameter("group_id", "group"),)
_ONE: Final = (Example("group", "A group with its members", from_file("group-answer")),)


class GroupsQuery(PageQuery, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Filters; several given must all hold."""

    student: (
        Annotated[IdText, Meta(description="Only groups of this student.", examples=[EXAMPLE_ID])] | UnsetType
    ) = UNSET
    teacher: (
        Annotated[IdText, Meta(description="Only groups of this teacher.", examples=[EXAMPLE_ID])] | UnsetType
    ) = UNSET
    archived: (
        Annotated[bool, Meta(description="Only those archived, or only the others.", examples=[False])]
        | UnsetType
    ) = UNSET


MAKE_GROUP = Operation(
    operation_id="make_group",
    tag="people",
    summary="Make a group",
    description="Its teachers reach its students. At most 500 members, teachers and students together.",
    stored=True,
    scope="groups.change",
    body=NewGroup,
    body_examples=(Example("group", "A teacher with a student", from_file("group")),),
    status=201,
    has_revision=True,
    about_many=True,
    answer=GroupAnswer,
    answer_description="The group with its members.",
    answer_examples=_ONE,
)
LIST_GROUPS = Operation(
    operation_id="list_groups",
    tag="people",
    summary="List groups",
    description="All of the school, or a teacher's own; without their members.",
    stored=True,
    scope="groups.read",
    query=GroupsQuery,
    answer=GroupsAnswer,
    answer_description="One page of them.",
    answer_examples=(Example("groups", "The only page", from_file("groups-answer")),),
)
SHOW_GROUP = Operation(
    operation_id="show_group",
    tag="people",
    summary="Show a group",
    description="With its members. A teacher sees own groups only.",
    stored=True,
    scope="groups.read",
    path_parameters=GROUP_ID,
    has_revision=True,
    about_many=True,
    answer=GroupAnswer,
    answer_description="The group with its members.",
    answer_examples=_ONE,
)
CHANGE_GROUP = Operation(
    operation_id="change_group",
    tag="people",
    summary="Change or archive a group",
    description=(
        "Takes the whole group as it should be, all its members too; a field left out is empty from now on. "
        "Through an archived group no teacher reaches anybody."
    ),
    stored=True,
    scope="groups.change",
    path_parameters=GROUP_ID,
    body=ChangedGroup,
    body_examples=(Example("archived", "A group that has ended", from_file("group-changed")),),
    changes=True,
    has_revision=True,
    about_many=True,
    answer=GroupAnswer,
    answer_description="The group as it is now.",
    answer_examples=_ONE,
)


def group_routes(stored: Stored) -> list[HTTPRouteHandler]:
    """Make the handlers."""

    @post("/v1/groups", status_code=201, opt={OPT_KEY: MAKE_GROUP})
    async def make(request: AnyRequest) -> Response[bytes]:
        return await stored.make(request, NewGroup, make_group)

    @get("/v1/groups", opt={OPT_KEY: LIST_GROUPS})
    async def show_list(request: AnyRequest) -> Response[bytes]:
        wanted = _wanted(query_of(request, GroupsQuery))
        return await stored.show(request, lambda work: list_groups(work, wanted))

    @get("/v1/groups/{group_id:str}", opt={OPT_KEY: SHOW_GROUP})
    async def show(request: AnyRequest) -> Response[bytes]:
        group_id = id_in_path(request, "group_id", "group")
        return await stored.show(request, lambda work: show_group(work, group_id))

    @put("/v1/groups/{group_id:str}", opt={OPT_KEY: CHANGE_GROUP})
    async def change(request: AnyRequest) -> Response[bytes]:
        group_id = id_in_path(request, "group_id", "group")
        return await stored.change(
            request, ChangedGroup, lambda work, body: change_group(work, group_id, body)
        )

    return [make, show_list, show, change]


def _wanted(query: GroupsQuery) -> WantedGroups:
    return WantedGroups(
        page=page_of(query),
        student_id=UUID(query.student) if query.student else None,
        teacher_id=UUID(query.teacher) if query.teacher else None,
        archived=None if query.archived is UNSET else query.archived,
    )
