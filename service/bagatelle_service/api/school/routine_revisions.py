"""`/v1/routines/{routine_id}/revisions`: what a routine was."""

from typing import Any

from litestar import Request, Response, get
from litestar.handlers import HTTPRouteHandler

from bagatelle_service.api.operation import OPT_KEY, Example, Operation, from_file
from bagatelle_service.api.school.parameters import NUMBER, PageQuery, id_in_path, number_in_path, page_of
from bagatelle_service.api.school.routines import ROUTINE_ID
from bagatelle_service.api.school.stored import Stored
from bagatelle_service.api.strictness import query_of
from bagatelle_service.school.routine_revisions import (
    RevisionAnswer,
    RevisionsAnswer,
    list_revisions,
    show_revision,
)

AnyRequest = Request[Any, Any, Any]


LIST_REVISIONS = Operation(
    operation_id="list_routine_revisions",
    tag="routines",
    summary="List the revisions of a routine",
    description="Without their content, the oldest first. Each change has made one.",
    stored=True,
    scope="routines.read",
    path_parameters=ROUTINE_ID,
    query=PageQuery,
    answer=RevisionsAnswer,
    answer_description="One page of them.",
    answer_examples=(Example("revisions", "The only page", from_file("routine-revisions-answer")),),
)
SHOW_REVISION = Operation(
    operation_id="show_routine_revision",
    tag="routines",
    summary="Show a revision of a routine",
    description="As the routine stood then. It never changes.",
    stored=True,
    scope="routines.read",
    path_parameters=(*ROUTINE_ID, NUMBER),
    answer=RevisionAnswer,
    answer_description="The revision.",
    answer_examples=(Example("revision", "The first revision", from_file("routine-revision-answer")),),
)


def revision_routes(stored: Stored) -> list[HTTPRouteHandler]:
    """Make the handlers."""

    @get("/v1/routines/{routine_id:str}/revisions", opt={OPT_KEY: LIST_REVISIONS})
    async def show_list(request: AnyRequest) -> Response[bytes]:
        routine_id = id_in_path(request, "routine_id", "routine")
        page = page_of(query_of(request, PageQuery))
        return await stored.show(request, lambda work: list_revisions(work, routine_id, page))

    @get("/v1/routines/{routine_id:str}/revisions/{number:str}", opt={OPT_KEY: SHOW_REVISION})
    async def show(request: AnyRequest) -> Response[bytes]:
        routine_id = id_in_path(request, "routine_id", "routine")
        number = number_in_path(request)
        return await stored.show(request, lambda work: show_revision(work, routine_id, number))

    return [show_list, show]
