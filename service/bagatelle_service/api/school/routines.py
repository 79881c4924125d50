"""A student's routines: stored, shown, changed, exported and imported."""

from collections.abc import Awaitable, Callable
from typing import Annotated, Any, Final

import msgspec
from litestar import Request, Response, get, post, put
from litestar.handlers import HTTPRouteHandler
from msgspec import UNSET, Meta, UnsetType

from bagatelle_service.api import problems
from bagatelle_service.api.engine_of import EngineOf
from bagatelle_service.api.operation import OPT_KEY, Example, Operation, from_file
from bagatelle_service.api.school.parameters import PageQuery, id_in_path, id_parameter, page_of
from bagatelle_service.api.school.stored import Stored
from bagatelle_service.api.school.students import STUDENT_ID
from bagatelle_service.api.strictness import query_of
from bagatelle_service.school.fields import Key
from bagatelle_service.school.routine_document import RoutineContent, RoutineDocument, planning_request
from bagatelle_service.school.routines import (
    ChangedRoutine,
    NewRoutine,
    RoutineAnswer,
    RoutinesAnswer,
    WantedRoutines,
    change_routine,
    export_routine,
    import_routine,
    list_routines,
    make_routine,
    show_routine,
)

AnyRequest = Request[Any, Any, Any]
ROUTINE_ID: Final = (id_parameter("routine_id", "routine"),)
_ONE: Final = (Example("routine", "A routine", from_file("routine-answer")),)
_REFUSED: Final = (problems.NOT_SHORT, problems.PLUGIN_FAILED, problems.OUT_OF_TIME)
_PLANNABLE: Final = (
    "What a plan would refuse is refused here, every wrong field at once; open questions may stay. Facts about a "
    "body (`learner.limits`) are refused where the school does not keep them."
)


class RoutinesQuery(PageQuery, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Filters; several given must all hold."""

    key: (
        Annotated[Key, Meta(description="Only the routine of this key.", examples=["weekdays"])] | UnsetType
    ) = UNSET
    archived: (
        Annotated[bool, Meta(description="Only those archived, or only the others.", examples=[False])]
        | UnsetType
    ) = UNSET


MAKE_ROUTINE = Operation(
    operation_id="make_routine",
    tag="routines",
    summary="Store a routine of a student",
    description=(
        "Takes of a plan's request what does not change from day to day. Each task gets an id for good. "
        + _PLANNABLE
    ),
    stored=True,
    scope="routines.change",
    path_parameters=STUDENT_ID,
    body=NewRoutine,
    body_examples=(Example("titles", "Titles and minutes alone", from_file("routine")),),
    status=201,
    has_revision=True,
    answer=RoutineAnswer,
    answer_description="The routine.",
    answer_examples=_ONE,
    problems=(problems.TAKEN, *_REFUSED),
)
LIST_ROUTINES = Operation(
    operation_id="list_routines",
    tag="routines",
    summary="List a student's routines",
    description="Without their content.",
    stored=True,
    scope="routines.read",
    path_parameters=STUDENT_ID,
    query=RoutinesQuery,
    answer=RoutinesAnswer,
    answer_description="One page of them.",
    answer_examples=(Example("routines", "The only page", from_file("routines-answer")),),
)
SHOW_ROUTINE = Operation(
    operation_id="show_routine",
    tag="routines",
    summary="Show a routine",
    description="As its newest revision has it, with the id of each task.",
    stored=True,
    scope="routines.read",
    path_parameters=ROUTINE_ID,
    has_revision=True,
    answer=RoutineAnswer,
    answer_description="The routine.",
    answer_examples=_ONE,
)
CHANGE_ROUTINE = Operation(
    operation_id="change_routine",
    tag="routines",
    summary="Change or archive a routine",
    description=(
        "Takes the whole routine as it should be and makes a new revision; a field left out has its default from "
        "now on. A task whose key was there before, in whatever revision, keeps its id. A routine that is archived "
        "keeps its content. " + _PLANNABLE
    ),
    stored=True,
    scope="routines.change",
    path_parameters=ROUTINE_ID,
    body=ChangedRoutine,
    body_examples=(Example("longer", "A task more", from_file("routine-changed")),),
    changes=True,
    has_revision=True,
    answer=RoutineAnswer,
    answer_description="The routine as it is now.",
    answer_examples=_ONE,
    problems=(problems.TAKEN, *_REFUSED),
)
EXPORT_ROUTINE = Operation(
    operation_id="export_routine",
    tag="routines",
    summary="Export a routine",
    description=(
        "One document that holds all of the newest revision. It names nobody and holds no id of the school; titles "
        "and wording are the learner's own, and limits of the body are in it where the school keeps them."
    ),
    stored=True,
    scope="routines.read",
    path_parameters=ROUTINE_ID,
    has_revision=True,
    answer=RoutineDocument,
    answer_description="The document.",
    answer_examples=(Example("document", "A routine by itself", from_file("routine-document")),),
)
IMPORT_ROUTINE = Operation(
    operation_id="import_routine",
    tag="routines",
    summary="Import a routine for a student",
    description="Takes a document as the export gives it, of any school, and stores a new routine. "
    + _PLANNABLE,
    stored=True,
    scope="routines.change",
    path_parameters=STUDENT_ID,
    body=RoutineDocument,
    body_examples=EXPORT_ROUTINE.answer_examples,
    status=201,
    has_revision=True,
    answer=RoutineAnswer,
    answer_description="The routine.",
    answer_examples=_ONE,
    problems=_REFUSED,
)


def routine_routes(stored: Stored, engine_of: EngineOf) -> list[HTTPRouteHandler]:
    """Make the handlers."""

    def check(request: AnyRequest) -> Callable[[RoutineContent], Awaitable[None]]:
        return _checker(stored, engine_of, request)

    @post("/v1/students/{student_id:str}/routines", status_code=201, opt={OPT_KEY: MAKE_ROUTINE})
    async def make(request: AnyRequest) -> Response[bytes]:
        student_id = id_in_path(request, "student_id", "student")
        return await stored.make(
            request, NewRoutine, lambda work, body: make_routine(work, student_id, body), check(request)
        )

    @get("/v1/students/{student_id:str}/routines", opt={OPT_KEY: LIST_ROUTINES})
    async def show_list(request: AnyRequest) -> Response[bytes]:
        student_id = id_in_path(request, "student_id", "student")
        wanted = _wanted(query_of(request, RoutinesQuery))
        return await stored.show(request, lambda work: list_routines(work, student_id, wanted))

    @post("/v1/students/{student_id:str}/routines/imports", status_code=201, opt={OPT_KEY: IMPORT_ROUTINE})
    async def take_in(request: AnyRequest) -> Response[bytes]:
        student_id = id_in_path(request, "student_id", "student")
        return await stored.make(
            request,
            RoutineDocument,
            lambda work, body: import_routine(work, student_id, body),
            check(request),
        )

    @get("/v1/routines/{routine_id:str}", opt={OPT_KEY: SHOW_ROUTINE})
    async def show(request: AnyRequest) -> Response[bytes]:
        routine_id = id_in_path(request, "routine_id", "routine")
        return await stored.show(request, lambda work: show_routine(work, routine_id))

    @put("/v1/routines/{routine_id:str}", opt={OPT_KEY: CHANGE_ROUTINE})
    async def change(request: AnyRequest) -> Response[bytes]:
        routine_id = id_in_path(request, "routine_id", "routine")
        return await stored.change(
            request, ChangedRoutine, lambda work, body: change_routine(work, routine_id, body), check(request)
        )

    @get("/v1/routines/{routine_id:str}/export", opt={OPT_KEY: EXPORT_ROUTINE})
    async def give_out(request: AnyRequest) -> Response[bytes]:
        routine_id = id_in_path(request, "routine_id", "routine")
        return await stored.show(request, lambda work: export_routine(work, routine_id))

    return [make, show_list, take_in, show, change, give_out]


def _checker(
    stored: Stored, engine_of: EngineOf, request: AnyRequest
) -> Callable[[RoutineContent], Awaitable[None]]:
    async def check(body: RoutineContent) -> None:
        """Let the engine refuse what it could not plan; what is to be archived keeps its content."""
        if isinstance(body, ChangedRoutine) and body.archived:
            return
        planned = planning_request(body, stored.now().date())
        await (await engine_of(request)).ask("check_plannable", msgspec.json.encode(planned))

    return check


def _wanted(query: RoutinesQuery) -> WantedRoutines:
    return WantedRoutines(
        page=page_of(query),
        key=query.key or None,
        archived=None if query.archived is UNSET else query.archived,
    )
