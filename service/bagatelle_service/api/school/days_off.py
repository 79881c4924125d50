"""`/v1/students/{student_id}/days-off`: days on which a student does not mean to practise."""

from typing import Any, Final

from litestar import Request, Response, get, put
from litestar.handlers import HTTPRouteHandler

from bagatelle_service.api.operation import OPT_KEY, Example, Operation, from_file
from bagatelle_service.api.school.parameters import id_in_path
from bagatelle_service.api.school.stored import Stored
from bagatelle_service.api.school.students import STUDENT_ID
from bagatelle_service.school.days_off import ChangedDaysOff, DaysOffAnswer, change_days_off, show_days_off

AnyRequest = Request[Any, Any, Any]
_PATH: Final = "/v1/students/{student_id:str}/days-off"
_ONE: Final = (Example("days-off", "Sundays, and a week in July", from_file("days-off-answer")),)

SHOW_DAYS_OFF: Final = Operation(
    operation_id="show_days_off",
    tag="practice",
    summary="Show a student's days off",
    description=(
        "The weekdays and stretches of days on which the student does not mean to practise. As long as nobody said "
        'any there are none, in revision 0: the first change names `"0"` in If-Match.'
    ),
    stored=True,
    scope="practice.read",
    path_parameters=STUDENT_ID,
    has_revision=True,
    answer=DaysOffAnswer,
    answer_description="The days off.",
    answer_examples=_ONE,
)
CHANGE_DAYS_OFF: Final = Operation(
    operation_id="change_days_off",
    tag="practice",
    summary="Change a student's days off",
    description=(
        "Takes all of them as they should be. Weekdays are numbered as in ISO 8601, Monday 1 to Sunday 7. A day "
        "off is no gap; what is played on it counts all the same."
    ),
    stored=True,
    scope="practice.change",
    path_parameters=STUDENT_ID,
    body=ChangedDaysOff,
    body_examples=(Example("days-off", "Sundays, and a week in July", from_file("days-off")),),
    changes=True,
    has_revision=True,
    answer=DaysOffAnswer,
    answer_description="The days off as they are now.",
    answer_examples=_ONE,
)


def days_off_routes(stored: Stored) -> list[HTTPRouteHandler]:
    """Make the handlers."""

    @get(_PATH, opt={OPT_KEY: SHOW_DAYS_OFF})
    async def show(request: AnyRequest) -> Response[bytes]:
        student_id = id_in_path(request, "student_id", "student")
        return await stored.show(request, lambda work: show_days_off(work, student_id))

    @put(_PATH, opt={OPT_KEY: CHANGE_DAYS_OFF})
    async def change(request: AnyRequest) -> Response[bytes]:
        student_id = id_in_path(request, "student_id", "student")
        return await stored.change(
            request, ChangedDaysOff, lambda work, body: change_days_off(work, student_id, body)
        )

    return [show, change]
