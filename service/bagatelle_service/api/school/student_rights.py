"""A student's rights: everything about them as one document, and their erasure."""

from typing import Any, Final

from litestar import Request, Response, delete, get
from litestar.handlers import HTTPRouteHandler

from bagatelle_service.api.operation import OPT_KEY, Example, Operation, from_file
from bagatelle_service.api.school.parameters import PageQuery, id_in_path, page_of
from bagatelle_service.api.school.stored import Stored
from bagatelle_service.api.school.students import STUDENT_ID
from bagatelle_service.api.strictness import query_of
from bagatelle_service.school.erasing import erase_student
from bagatelle_service.school.erasure_ledger import ErasuresAnswer, Ledger, list_erasures
from bagatelle_service.school.export_document import StudentExport
from bagatelle_service.school.student_export import export_student

AnyRequest = Request[Any, Any, Any]

EXPORT_STUDENT: Final = Operation(
    operation_id="export_student",
    tag="people",
    summary="Export a student",
    description=(
        "Everything that is stored about one student, as one document: for the student, a guardian, staff who "
        "reach the student, and apps. Without hashes of secrets, and without what is a guardian's alone; a "
        "guardian sees no other guardian. `person.pseudonym` is how the trail names the student."
    ),
    stored=True,
    scope="students.read",
    path_parameters=STUDENT_ID,
    answer=StudentExport,
    answer_description="Everything about the student.",
    answer_examples=(Example("student", "A student with a routine", from_file("student-export")),),
)
ERASE_STUDENT: Final = Operation(
    operation_id="erase_student",
    tag="people",
    summary="Erase a student",
    description=(
        "Deletes the student and everything about them: routines, plans, logs, sheets, guardians, tokens. Nothing "
        "brings it back. The trail keeps what staff and apps did, and no longer to whom. The school's ledger keeps "
        "a hash of the student's id, so that a restored backup can be rid of them too. Answers that were kept for "
        "an Idempotency-Key and may be about several students are erased with them: a request that comes again is "
        "then answered `answer-erased`."
    ),
    stored=True,
    scope="students.erase",
    path_parameters=STUDENT_ID,
    changes=True,
    status=204,
    answer=None,
    answer_description="Nothing of the student is stored any more.",
)
LIST_ERASURES: Final = Operation(
    operation_id="list_erasures",
    tag="school",
    summary="List erasures",
    description="The school's ledger of erased students, by a hash of each.",
    stored=True,
    scope="trail.read",
    query=PageQuery,
    answer=ErasuresAnswer,
    answer_description="One page of it.",
    answer_examples=(Example("erasures", "The only page", from_file("erasures-answer")),),
)


def student_rights_routes(stored: Stored, ledger: Ledger) -> list[HTTPRouteHandler]:
    """Make the handlers."""

    @get("/v1/students/{student_id:str}/export", opt={OPT_KEY: EXPORT_STUDENT})
    async def export(request: AnyRequest) -> Response[bytes]:
        student_id = id_in_path(request, "student_id", "student")
        # So that the document has what was read a moment ago.
        await stored.trail.write()
        return await stored.show(request, lambda work: export_student(work, student_id))

    @delete("/v1/students/{student_id:str}", status_code=204, opt={OPT_KEY: ERASE_STUDENT})
    async def erase(request: AnyRequest) -> Response[None]:
        student_id = id_in_path(request, "student_id", "student")
        response = await stored.remove(request, lambda work: erase_student(work, student_id, ledger))
        await stored.storage.wipe()
        return response

    @get("/v1/erasures", opt={OPT_KEY: LIST_ERASURES})
    async def show_erasures(request: AnyRequest) -> Response[bytes]:
        page = page_of(query_of(request, PageQuery))
        return await stored.show(request, lambda work: list_erasures(work, page))

    return [export, erase, show_erasures]
