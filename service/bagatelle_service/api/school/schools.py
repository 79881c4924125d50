"""`/v1/schools`: made by the operator, changed by their owners too."""

from typing import Any, Final

from litestar import Request, Response, get, post, put
from litestar.handlers import HTTPRouteHandler

from bagatelle_service.api.operation import OPT_KEY, Example, Operation, from_file
from bagatelle_service.api.school.parameters import PageQuery, id_in_path, id_parameter, page_of
from bagatelle_service.api.school.stored import Stored
from bagatelle_service.api.strictness import query_of
from bagatelle_service.school.schools import (
    ChangedSchool,
    NewSchool,
    NewSchoolAnswer,
    SchoolAnswer,
    SchoolsAnswer,
    change_school,
    list_schools,
    make_school,
    show_school,
)

AnyRequest = Request[Any, Any, Any]
_SCHOOL_ID: Final = (id_parameter("school_id", "school"),)
_ONE: Final = (Example("school", "A school", from_file("school-answer")),)


MAKE_SCHOOL = Operation(
    operation_id="make_school",
    tag="school",
    summary="Make a school",
    description=(
        "The operator's. Makes the school, its first owner and the owner's token. The operator's token reaches "
        "nothing inside a school."
    ),
    stored=True,
    scope="schools.operate",
    body=NewSchool,
    body_examples=(Example("school", "A school and its owner", from_file("school")),),
    status=201,
    answer=NewSchoolAnswer,
    answer_description="The school, and the owner's token.",
    answer_examples=(Example("school", "The school, and the owner's token", from_file("new-school-answer")),),
)
LIST_SCHOOLS = Operation(
    operation_id="list_schools",
    tag="school",
    summary="List schools",
    description="The operator's.",
    stored=True,
    scope="schools.operate",
    query=PageQuery,
    answer=SchoolsAnswer,
    answer_description="One page of them.",
    answer_examples=(Example("schools", "The only page", from_file("schools-answer")),),
)
SHOW_SCHOOL = Operation(
    operation_id="show_school",
    tag="school",
    summary="Show a school",
    description="The caller's own; the operator may see any.",
    stored=True,
    scope="school.read",
    path_parameters=_SCHOOL_ID,
    has_revision=True,
    answer=SchoolAnswer,
    answer_description="The school.",
    answer_examples=_ONE,
)
CHANGE_SCHOOL = Operation(
    operation_id="change_school",
    tag="school",
    summary="Change a school",
    description=(
        "Takes the whole school as it should be; a field left out has its default from now on. Only the operator "
        "archives a school, and only the school itself says what is kept of its students."
    ),
    stored=True,
    scope="school.change",
    path_parameters=_SCHOOL_ID,
    body=ChangedSchool,
    body_examples=(Example("retention", "Old records go after two years", from_file("school-changed")),),
    changes=True,
    has_revision=True,
    answer=SchoolAnswer,
    answer_description="The school as it is now.",
    answer_examples=_ONE,
)


def school_routes(stored: Stored) -> list[HTTPRouteHandler]:
    """Make the handlers."""

    @post("/v1/schools", status_code=201, opt={OPT_KEY: MAKE_SCHOOL})
    async def make(request: AnyRequest) -> Response[bytes]:
        return await stored.make(request, NewSchool, make_school)

    @get("/v1/schools", opt={OPT_KEY: LIST_SCHOOLS})
    async def show_list(request: AnyRequest) -> Response[bytes]:
        page = page_of(query_of(request, PageQuery))
        return await stored.show(request, lambda work: list_schools(work, page))

    @get("/v1/schools/{school_id:str}", opt={OPT_KEY: SHOW_SCHOOL})
    async def show(request: AnyRequest) -> Response[bytes]:
        school_id = id_in_path(request, "school_id", "school")
        return await stored.show(request, lambda work: show_school(work, school_id))

    @put("/v1/schools/{school_id:str}", opt={OPT_KEY: CHANGE_SCHOOL})
    async def change(request: AnyRequest) -> Response[bytes]:
        school_id = id_in_path(request, "school_id", "school")
        return await stored.change(
            request, ChangedSchool, lambda work, body: change_school(work, school_id, body)
        )

    return [make, show_list, show, change]
