"""`/v1/groups/{group_id}/glance`: a group at a glance."""

from typing import Any, Final

from litestar import Request, Response, get
from litestar.handlers import HTTPRouteHandler

from bagatelle_service.api.engine_of import EngineOf
from bagatelle_service.api.operation import OPT_KEY, Example, Operation, from_file
from bagatelle_service.api.school.groups import GROUP_ID
from bagatelle_service.api.school.parameters import id_in_path
from bagatelle_service.api.school.stored import Stored
from bagatelle_service.school.glance import GlanceAnswer, show_glance

AnyRequest = Request[Any, Any, Any]

SHOW_GLANCE: Final = Operation(
    operation_id="show_glance",
    tag="practice",
    summary="Show a group at a glance",
    description=(
        "For staff and apps: of each student whether plans stand ready, and whether it has been short days for "
        "long, in the order of names. Nothing ranks them. Counts of the group are null where they, or what they "
        "leave of the group, would be of fewer students than `withheld_below`. The token needs the scopes "
        "groups.read and students.read too."
    ),
    stored=True,
    scope="practice.read",
    path_parameters=GROUP_ID,
    about_many=True,
    answer=GlanceAnswer,
    answer_description="The group at a glance.",
    answer_examples=(Example("group", "A small group", from_file("glance-answer")),),
)


def glance_routes(stored: Stored, engine_of: EngineOf) -> list[HTTPRouteHandler]:
    """Make the handler."""

    @get("/v1/groups/{group_id:str}/glance", opt={OPT_KEY: SHOW_GLANCE})
    async def show(request: AnyRequest) -> Response[bytes]:
        group_id = id_in_path(request, "group_id", "group")
        loaded = (await engine_of(request)).loaded
        return await stored.show(request, lambda work: show_glance(work, group_id, loaded))

    return [show]
