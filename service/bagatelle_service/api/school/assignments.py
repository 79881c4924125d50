"""`/v1/routines/{routine_id}/assignments`: a routine given to students, each an own copy."""

from typing import Any, Final

from bagatelle.decode import decode
from litestar import Request, Response, get, post
from litestar.handlers import HTTPRouteHandler

from bagatelle_service.api import problems
from bagatelle_service.api.engine_of import EngineOf
from bagatelle_service.api.operation import OPT_KEY, Example, Operation, from_file
from bagatelle_service.api.school.imports import DryRunQuery
from bagatelle_service.api.school.parameters import PageQuery, id_in_path, page_of
from bagatelle_service.api.school.plannable import Plannable
from bagatelle_service.api.school.routines import ROUTINE_ID
from bagatelle_service.api.school.stored import Stored
from bagatelle_service.api.strictness import query_of
from bagatelle_service.school.assigned_students import NewAssignment
from bagatelle_service.school.assignments import Assignment, AssignmentAnswer, assign, contents_to_check
from bagatelle_service.school.copies import CopiesAnswer, list_copies

AnyRequest = Request[Any, Any, Any]

ASSIGN_ROUTINE: Final = Operation(
    operation_id="assign_routine",
    tag="routines",
    summary="Give a routine to students",
    description=(
        "Each gets an own copy, which remembers its origin: the tasks keep their keys and get own ids, every "
        "block lists its tasks, and the limits of a learner's body stay behind. It has the origin's key where the "
        "student's other routines leave that free. Sent again after the origin changed, what changed is brought "
        "together with each copy, field by field, by the keys of tasks and the ids of blocks: what the student "
        "left alone becomes as the origin has it; what both changed is a conflict and stays the student's own, "
        "unless `take_origin` names it; what the student alone changed stays. A copy of which no plan could be "
        "made is left as it is. With `dry_run` nothing is done, and all of this is said. The token needs "
        "`routines.read` too, and with `group` `groups.read`."
    ),
    stored=True,
    scope="routines.change",
    path_parameters=ROUTINE_ID,
    query=DryRunQuery,
    body=NewAssignment,
    body_examples=(
        Example("students", "Two students", from_file("assignment")),
        Example(
            "again", "A group, and the origin's minutes of a task for all", from_file("assignment-again")
        ),
    ),
    status=201,
    dry_run=True,
    about_many=True,
    answer=AssignmentAnswer,
    answer_description="What became of each student's copy.",
    answer_examples=(
        Example("again", "A new copy, and one that took over what it could", from_file("assignment-answer")),
    ),
    problems=(problems.CHANGED_MEANWHILE, problems.PLUGIN_FAILED, problems.OUT_OF_TIME),
)
LIST_ASSIGNMENTS: Final = Operation(
    operation_id="list_assignments",
    tag="routines",
    summary="List the copies of a routine",
    description="Of the students whom the token reaches, with how far each copy is.",
    stored=True,
    scope="routines.read",
    path_parameters=ROUTINE_ID,
    query=PageQuery,
    answer=CopiesAnswer,
    answer_description="One page of them.",
    answer_examples=(Example("copies", "The only page", from_file("copies-answer")),),
)


def assignment_routes(stored: Stored, engine_of: EngineOf) -> list[HTTPRouteHandler]:
    """Make the handlers."""

    @post("/v1/routines/{routine_id:str}/assignments", status_code=201, opt={OPT_KEY: ASSIGN_ROUTINE})
    async def give(request: AnyRequest) -> Response[bytes]:
        routine_id = id_in_path(request, "routine_id", "routine")
        dry_run = query_of(request, DryRunQuery).dry_run

        async def check(body: NewAssignment) -> Assignment:
            plannable = Plannable((await engine_of(request)).ask, stored.now().date())
            contents = await stored.look(request, lambda work: contents_to_check(work, routine_id, body))
            await plannable.look_at(contents)
            return Assignment(routine_id=routine_id, body=body, judge=plannable.verdict, dry_run=dry_run)

        return await stored.take_in(
            request, lambda raw: decode(raw, NewAssignment), check, assign, dry_run=dry_run
        )

    @get("/v1/routines/{routine_id:str}/assignments", opt={OPT_KEY: LIST_ASSIGNMENTS})
    async def show_list(request: AnyRequest) -> Response[bytes]:
        routine_id = id_in_path(request, "routine_id", "routine")
        page = page_of(query_of(request, PageQuery))
        return await stored.show(request, lambda work: list_copies(work, routine_id, page))

    return [give, show_list]
