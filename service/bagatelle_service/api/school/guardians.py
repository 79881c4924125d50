"""`/v1/students/{student_id}/guardians` and `/v1/guardians`: grown-ups who each read one student."""

from typing import Any, Final

from litestar import Request, Response, delete, get, post
from litestar.handlers import HTTPRouteHandler

from bagatelle_service.api.operation import OPT_KEY, Example, Operation, from_file
from bagatelle_service.api.school.parameters import PageQuery, id_in_path, id_parameter, page_of
from bagatelle_service.api.school.stored import Stored
from bagatelle_service.api.school.students import STUDENT_ID
from bagatelle_service.api.strictness import query_of
from bagatelle_service.school.guardians import (
    GuardianAnswer,
    GuardiansAnswer,
    NewGuardian,
    list_guardians,
    make_guardian,
    remove_guardian,
    show_guardian,
)

AnyRequest = Request[Any, Any, Any]
GUARDIAN_ID: Final = (id_parameter("guardian_id", "guardian"),)
_ONE: Final = (Example("guardian", "A guardian", from_file("guardian-answer")),)


MAKE_GUARDIAN = Operation(
    operation_id="make_guardian",
    tag="people",
    summary="Link a guardian to a student",
    description="The guardian is to read this one student, and changes nothing. An invitation lets them in.",
    stored=True,
    scope="students.change",
    path_parameters=STUDENT_ID,
    body=NewGuardian,
    body_examples=(Example("guardian", "A guardian with a name to call them by", from_file("guardian")),),
    status=201,
    answer=GuardianAnswer,
    answer_description="The guardian.",
    answer_examples=_ONE,
)
LIST_GUARDIANS = Operation(
    operation_id="list_guardians",
    tag="people",
    summary="List a student's guardians",
    description="A guardian sees their own link alone.",
    stored=True,
    scope="students.read",
    path_parameters=STUDENT_ID,
    query=PageQuery,
    answer=GuardiansAnswer,
    answer_description="One page of them.",
    answer_examples=(Example("guardians", "The only page", from_file("guardians-answer")),),
)
SHOW_GUARDIAN = Operation(
    operation_id="show_guardian",
    tag="people",
    summary="Show a guardian",
    description="What is stored of the guardian. A guardian sees their own link alone.",
    stored=True,
    scope="students.read",
    path_parameters=GUARDIAN_ID,
    answer=GuardianAnswer,
    answer_description="The guardian.",
    answer_examples=_ONE,
)
REMOVE_GUARDIAN = Operation(
    operation_id="remove_guardian",
    tag="people",
    summary="Remove a guardian",
    description="The link goes, and with it the guardian's tokens and invitations and whatever else let them in.",
    stored=True,
    scope="students.change",
    path_parameters=GUARDIAN_ID,
    status=204,
    answer=None,
    answer_description="Nothing of the guardian is left but pseudonyms in the trail.",
)


def guardian_routes(stored: Stored) -> list[HTTPRouteHandler]:
    """Make the handlers."""

    @post("/v1/students/{student_id:str}/guardians", status_code=201, opt={OPT_KEY: MAKE_GUARDIAN})
    async def make(request: AnyRequest) -> Response[bytes]:
        student_id = id_in_path(request, "student_id", "student")
        return await stored.make(
            request, NewGuardian, lambda work, body: make_guardian(work, student_id, body)
        )

    @get("/v1/students/{student_id:str}/guardians", opt={OPT_KEY: LIST_GUARDIANS})
    async def show_list(request: AnyRequest) -> Response[bytes]:
        student_id = id_in_path(request, "student_id", "student")
        page = page_of(query_of(request, PageQuery))
        return await stored.show(request, lambda work: list_guardians(work, student_id, page))

    @get("/v1/guardians/{guardian_id:str}", opt={OPT_KEY: SHOW_GUARDIAN})
    async def show(request: AnyRequest) -> Response[bytes]:
        guardian_id = id_in_path(request, "guardian_id", "guardian")
        return await stored.show(request, lambda work: show_guardian(work, guardian_id))

    @delete("/v1/guardians/{guardian_id:str}", status_code=204, opt={OPT_KEY: REMOVE_GUARDIAN})
    async def remove(request: AnyRequest) -> Response[None]:
        guardian_id = id_in_path(request, "guardian_id", "guardian")
        return await stored.remove(request, lambda work: remove_guardian(work, guardian_id))

    return [make, show_list, show, remove]
