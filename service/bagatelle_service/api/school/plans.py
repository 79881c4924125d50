"""Prepared plans: a routine prepared into its set, shown, changed, and what each plan was before."""

from typing import Any, Final

from litestar import Request, Response, get, post, put
from litestar.handlers import HTTPRouteHandler

from bagatelle_service.api import problems
from bagatelle_service.api.engine_of import EngineOf
from bagatelle_service.api.operation import OPT_KEY, Example, Operation, from_file
from bagatelle_service.api.school.parameters import (
    NUMBER,
    PageQuery,
    id_in_path,
    id_parameter,
    number_in_path,
    page_of,
)
from bagatelle_service.api.school.plan_examples import plan_example, plan_revision_example
from bagatelle_service.api.school.routines import ROUTINE_ID
from bagatelle_service.api.school.stored import Stored
from bagatelle_service.api.strictness import query_of
from bagatelle_service.school.plan_choices import PlanChoices
from bagatelle_service.school.plan_revisions import (
    PlanRevisionAnswer,
    PlanRevisionsAnswer,
    list_plan_revisions,
    show_plan_revision,
)
from bagatelle_service.school.plans import (
    PlanAnswer,
    PlansAnswer,
    SetAnswer,
    WantedSet,
    change_plan,
    list_plans,
    prepare_set,
    show_plan,
)

AnyRequest = Request[Any, Any, Any]
PLAN_ID: Final = (id_parameter("plan_id", "plan"),)
_ONE: Final = (Example("plan", "A plan for days with little time", plan_example),)
_REFUSED: Final = (
    problems.NOT_SHORT,
    problems.PLUGIN_FAILED,
    problems.OUT_OF_TIME,
    problems.CHANGED_MEANWHILE,
)

PREPARE_ROUTINE = Operation(
    operation_id="prepare_routine",
    tag="practice",
    summary="Prepare a routine into its plans",
    description=(
        "Makes one plan for each kind of hard day, all in one transaction. A plan that is there already gets a "
        "new revision where anything of it has changed, and keeps what was chosen for it; where nothing has, "
        "nothing is stored, so it may be asked again at any time. With `dry_run` it is only shown what would "
        "change. What is due is seen from the student's own today. Where the routine cannot be planned any more, "
        "as a plugin is gone, the pointers lead into the routine."
    ),
    stored=True,
    scope="practice.change",
    path_parameters=ROUTINE_ID,
    body=WantedSet,
    body_examples=(
        Example("all", "All kinds", from_file("plans-wanted")),
        Example("try", "What two kinds would change", from_file("plans-tried")),
    ),
    answer=SetAnswer,
    answer_description="What became of the plans, or would.",
    answer_examples=(Example("prepared", "A first preparation", from_file("plans-prepared")),),
    problems=_REFUSED,
)
LIST_PLANS = Operation(
    operation_id="list_plans",
    tag="practice",
    summary="List the plans of a routine",
    description="Without their cards; each with the reasons why it is outdated, if it is. It stays usable then.",
    stored=True,
    scope="practice.read",
    path_parameters=ROUTINE_ID,
    answer=PlansAnswer,
    answer_description="All of them.",
    answer_examples=(Example("plans", "Two plans, one outdated", from_file("plans-answer")),),
)
SHOW_PLAN = Operation(
    operation_id="show_plan",
    tag="practice",
    summary="Show a plan",
    description="Its newest revision, with the card that day sheets are made from and what was chosen for it.",
    stored=True,
    scope="practice.read",
    path_parameters=PLAN_ID,
    has_revision=True,
    answer=PlanAnswer,
    answer_description="The plan.",
    answer_examples=_ONE,
)
CHANGE_PLAN = Operation(
    operation_id="change_plan",
    tag="practice",
    summary="Choose anew for a plan",
    description=(
        "Takes all that is to be chosen for this plan beside its routine (what is left out is not chosen any "
        "more), and prepares the plan again: a new revision, where anything of it has changed. Cautions stay, "
        "whatever the own wording says. The next preparation of the routine keeps these choices; those of tasks "
        "that the routine has lost are dropped and named by it."
    ),
    stored=True,
    scope="practice.change",
    path_parameters=PLAN_ID,
    body=PlanChoices,
    body_examples=(Example("choices", "A pin, a length, own words", from_file("plan-choices")),),
    changes=True,
    has_revision=True,
    answer=PlanAnswer,
    answer_description="The plan as it is now.",
    answer_examples=_ONE,
    problems=_REFUSED,
)
LIST_PLAN_REVISIONS = Operation(
    operation_id="list_plan_revisions",
    tag="practice",
    summary="List the revisions of a plan",
    description="The oldest first, without their cards.",
    stored=True,
    scope="practice.read",
    path_parameters=PLAN_ID,
    query=PageQuery,
    answer=PlanRevisionsAnswer,
    answer_description="One page of them.",
    answer_examples=(Example("revisions", "The only page", from_file("plan-revisions-answer")),),
)
SHOW_PLAN_REVISION = Operation(
    operation_id="show_plan_revision",
    tag="practice",
    summary="Show a plan as it stood",
    description="A revision never changes, and is readable without the plugins that it was made with.",
    stored=True,
    scope="practice.read",
    path_parameters=(*PLAN_ID, NUMBER),
    answer=PlanRevisionAnswer,
    answer_description="The revision.",
    answer_examples=(Example("revision", "The first revision", plan_revision_example),),
)


def plan_routes(stored: Stored, engine_of: EngineOf) -> list[HTTPRouteHandler]:
    """Make the handlers."""

    @post("/v1/routines/{routine_id:str}/plans", status_code=200, opt={OPT_KEY: PREPARE_ROUTINE})
    async def prepare(request: AnyRequest) -> Response[bytes]:
        routine_id = id_in_path(request, "routine_id", "routine")
        engine = await engine_of(request)
        return await stored.work_out(
            request, WantedSet, lambda sessions, body: prepare_set(sessions, engine.ask, routine_id, body)
        )

    @get("/v1/routines/{routine_id:str}/plans", opt={OPT_KEY: LIST_PLANS})
    async def show_list(request: AnyRequest) -> Response[bytes]:
        routine_id = id_in_path(request, "routine_id", "routine")
        loaded = (await engine_of(request)).loaded
        return await stored.show(request, lambda work: list_plans(work, routine_id, loaded))

    @get("/v1/plans/{plan_id:str}", opt={OPT_KEY: SHOW_PLAN})
    async def show(request: AnyRequest) -> Response[bytes]:
        plan_id = id_in_path(request, "plan_id", "plan")
        loaded = (await engine_of(request)).loaded
        return await stored.show(request, lambda work: show_plan(work, plan_id, loaded))

    @put("/v1/plans/{plan_id:str}", opt={OPT_KEY: CHANGE_PLAN})
    async def change(request: AnyRequest) -> Response[bytes]:
        plan_id = id_in_path(request, "plan_id", "plan")
        engine = await engine_of(request)
        return await stored.work_out(
            request,
            PlanChoices,
            lambda sessions, body: change_plan(sessions, engine.ask, plan_id, body, engine.loaded),
        )

    @get("/v1/plans/{plan_id:str}/revisions", opt={OPT_KEY: LIST_PLAN_REVISIONS})
    async def show_revisions(request: AnyRequest) -> Response[bytes]:
        plan_id = id_in_path(request, "plan_id", "plan")
        page = page_of(query_of(request, PageQuery))
        return await stored.show(request, lambda work: list_plan_revisions(work, plan_id, page))

    @get("/v1/plans/{plan_id:str}/revisions/{number:str}", opt={OPT_KEY: SHOW_PLAN_REVISION})
    async def show_revision(request: AnyRequest) -> Response[bytes]:
        plan_id = id_in_path(request, "plan_id", "plan")
        number = number_in_path(request)
        return await stored.show(request, lambda work: show_plan_revision(work, plan_id, number))

    return [prepare, show_list, show, change, show_revisions, show_revision]
