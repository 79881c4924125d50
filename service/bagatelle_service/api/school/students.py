"""`/v1/students`: whom the school's plans are for."""

from typing import Annotated, Any, Final
from uuid import UUID

from litestar import Request, Response, get, post, put
from litestar.handlers import HTTPRouteHandler
from msgspec import UNSET, Meta, UnsetType

from bagatelle_service.api import problems
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
from bagatelle_service.school.fields import IdText, Key
from bagatelle_service.school.students import (
    ChangedStudent,
    NewStudent,
    StudentAnswer,
    StudentsAnswer,
    WantedStudents,
    change_student,
    list_students,
    make_student,
    show_student,
)

AnyRequest = Request[Any, Any, Any]
STUDENT_ID: Final = (id_parameter("student_id", "student"),)
_ONE: Final = (Example("student", "A student", from_file("student-answer")),)


class StudentsQuery(PageQuery, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Filters; several given must all hold."""

    key: (
        Annotated[Key, Meta(description="Only the student of this key.", examples=["sax-17"])] | UnsetType
    ) = UNSET
    group: (
        Annotated[IdText, Meta(description="Only students of this group.", examples=[EXAMPLE_ID])] | UnsetType
    ) = UNSET
    archived: (
        Annotated[bool, Meta(description="Only those archived, or only the others.", examples=[False])]
        | UnsetType
    ) = UNSET


MAKE_STUDENT = Operation(
    operation_id="make_student",
    tag="people",
    summary="Make a student",
    description="Stores a name to call the student by, which may be a pseudonym, and a time zone; no more.",
    stored=True,
    scope="students.make",
    body=NewStudent,
    body_examples=(Example("student", "A student with a key of the client's", from_file("student")),),
    status=201,
    has_revision=True,
    answer=StudentAnswer,
    answer_description="The student.",
    answer_examples=_ONE,
    problems=(problems.TAKEN,),
)
LIST_STUDENTS = Operation(
    operation_id="list_students",
    tag="people",
    summary="List students",
    description="Those whom the token reaches: all of the school, those of a teacher's groups, or one.",
    stored=True,
    scope="students.read",
    query=StudentsQuery,
    answer=StudentsAnswer,
    answer_description="One page of them.",
    answer_examples=(Example("students", "The only page", from_file("students-answer")),),
)
SHOW_STUDENT = Operation(
    operation_id="show_student",
    tag="people",
    summary="Show a student",
    description="What is stored of the student as a person.",
    stored=True,
    scope="students.read",
    path_parameters=STUDENT_ID,
    has_revision=True,
    answer=StudentAnswer,
    answer_description="The student.",
    answer_examples=_ONE,
)
CHANGE_STUDENT = Operation(
    operation_id="change_student",
    tag="people",
    summary="Change or archive a student",
    description="Takes the whole student as it should be; a field left out is empty from now on.",
    stored=True,
    scope="students.change",
    path_parameters=STUDENT_ID,
    body=ChangedStudent,
    body_examples=(Example("archived", "A student who has left", from_file("student-changed")),),
    changes=True,
    has_revision=True,
    answer=StudentAnswer,
    answer_description="The student as it is now.",
    answer_examples=_ONE,
    problems=(problems.TAKEN,),
)


def student_routes(stored: Stored) -> list[HTTPRouteHandler]:
    """Make the handlers."""

    @post("/v1/students", status_code=201, opt={OPT_KEY: MAKE_STUDENT})
    async def make(request: AnyRequest) -> Response[bytes]:
        return await stored.make(request, NewStudent, make_student)

    @get("/v1/students", opt={OPT_KEY: LIST_STUDENTS})
    async def show_list(request: AnyRequest) -> Response[bytes]:
        wanted = _wanted(query_of(request, StudentsQuery))
        return await stored.show(request, lambda work: list_students(work, wanted))

    @get("/v1/students/{student_id:str}", opt={OPT_KEY: SHOW_STUDENT})
    async def show(request: AnyRequest) -> Response[bytes]:
        student_id = id_in_path(request, "student_id", "student")
        return await stored.show(request, lambda work: show_student(work, student_id))

    @put("/v1/students/{student_id:str}", opt={OPT_KEY: CHANGE_STUDENT})
    async def change(request: AnyRequest) -> Response[bytes]:
        student_id = id_in_path(request, "student_id", "student")
        return await stored.change(
            request, ChangedStudent, lambda work, body: change_student(work, student_id, body)
        )

    return [make, show_list, show, change]


def _wanted(query: StudentsQuery) -> WantedStudents:
    return WantedStudents(
        page=page_of(query),
        key=query.key or None,
        group_id=UUID(query.group) if query.group else None,
        archived=None if query.archived is UNSET else query.archived,
    )
