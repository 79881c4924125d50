"""`/v1/students/{student_id}/days`: what a student does on one date."""

import datetime as dt
import re
from typing import Annotated, Any, Final

from litestar import Request, Response, get, put
from litestar.handlers import HTTPRouteHandler
from msgspec import UNSET, Meta, UnsetType

from bagatelle_service.api import problems
from bagatelle_service.api.operation import OPT_KEY, Example, Operation, PathParameter, from_file
from bagatelle_service.api.school.parameters import PageQuery, id_in_path, page_of
from bagatelle_service.api.school.stored import Stored
from bagatelle_service.api.school.students import STUDENT_ID
from bagatelle_service.api.strictness import query_of
from bagatelle_service.database.errors import ClashError
from bagatelle_service.school.day_lists import DaysAnswer, WantedDays, list_days
from bagatelle_service.school.days import AskedDay, DayAnswer, set_day, show_day
from bagatelle_service.school.errors import MissingError

AnyRequest = Request[Any, Any, Any]
_DATE_PATTERN: Final = r"^[0-9]{4}-[0-9]{2}-[0-9]{2}$(?!\n)"
DATE: Final = PathParameter(
    name="date",
    description="The student's own day (RFC 3339, full-date).",
    example="2027-03-01",
    pattern=_DATE_PATTERN,
    longest=10,
)
_WHICH_PLAN: Final = (
    "Which plan: something sore makes it a resting day, on which nothing is played; else no instrument at "
    "hand, a day away from it; else a quiet day; else one of little energy; else two or more windows of at "
    "most ten minutes each, a day in scraps; else a usual day. Where the routine has no plan for a day in "
    "scraps or of little energy, that for a usual day stands in, and where it has none for a quiet day, that "
    "for a day away from the instrument; a notice says so. For a resting day and a day away from the "
    "instrument nothing stands in."
)
_LAST_DONE: Final = (
    "Which units: those least recently done first, by the logs of the year before that date; logs of the day "
    "itself, and those that come in later, change nothing of it."
)


class DaysQuery(
    PageQuery, frozen=True, kw_only=True, forbid_unknown_fields=True, rename={"first": "from", "last": "to"}
):
    """Which days."""

    first: (
        Annotated[dt.date, Meta(description="The first date that is listed.", examples=["2027-03-01"])]
        | UnsetType
    ) = UNSET
    last: (
        Annotated[dt.date, Meta(description="The last date that is listed.", examples=["2027-03-31"])]
        | UnsetType
    ) = UNSET


SET_DAY = Operation(
    operation_id="set_day",
    tag="practice",
    summary="Make a day's sheet, or tell what the day gives now",
    description=(
        "Makes the sheet of one date from a prepared plan and stores it with what it was made from; the date "
        "is within a year of the student's today. Sent again with the same, it is the same sheet. Where the "
        "day gives more (each window at least as long as before, or more windows behind them), the sheet "
        "grows: what stood there stays. Both need no If-Match. With less time or other circumstances the "
        "sheet is made anew from the newest revision of the plan, which needs If-Match, as the sheet that "
        "stood is lost; what was logged stays in the logs.\n\n"
        + _WHICH_PLAN
        + "\n\n"
        + _LAST_DONE
        + "\n\nWhat is sore is never stored. A sheet of a resting day is stored where the school keeps facts about "
        "bodies; elsewhere it is answered, `frozen` is false, and nothing is stored or changed."
    ),
    stored=True,
    scope="practice.change",
    path_parameters=(*STUDENT_ID, DATE),
    body=AskedDay,
    body_examples=(
        Example("minutes", "Twelve minutes", from_file("day")),
        Example("windows", "Two gaps in a quiet house", from_file("day-windows")),
    ),
    changes=True,
    match_where_lost=True,
    has_revision=True,
    revision_where_stored=True,
    answer=DayAnswer,
    answer_description="The day's sheet.",
    answer_examples=(Example("day", "A stored sheet", from_file("day-answer")),),
    problems=(problems.NOT_PREPARED, problems.TAKEN),
)
SHOW_DAY = Operation(
    operation_id="show_day",
    tag="practice",
    summary="Show a day's sheet",
    description=(
        "Only reads. Before a sheet of the date is stored, this is the one that would be made if nobody said "
        "what the day gives: a quarter of the usual time, from the plan for a usual day of the open routine "
        "whose plans were "
        "prepared last; then `frozen` is false, and there is no ETag. " + _LAST_DONE
    ),
    stored=True,
    scope="practice.read",
    path_parameters=(*STUDENT_ID, DATE),
    has_revision=True,
    revision_where_stored=True,
    answer=DayAnswer,
    answer_description="The day's sheet.",
    answer_examples=(
        Example("day", "A stored sheet", from_file("day-answer")),
        Example("not-stored", "Before anybody said what the day gives", from_file("day-not-stored-answer")),
    ),
    problems=(problems.NOT_PREPARED,),
)
LIST_DAYS = Operation(
    operation_id="list_days",
    tag="practice",
    summary="List a student's stored day sheets",
    description="Without their steps, the earliest date first.",
    stored=True,
    scope="practice.read",
    path_parameters=STUDENT_ID,
    query=DaysQuery,
    answer=DaysAnswer,
    answer_description="One page of them.",
    answer_examples=(Example("days", "The only page", from_file("days-answer")),),
)


def day_routes(stored: Stored) -> list[HTTPRouteHandler]:
    """Make the handlers."""

    @get("/v1/students/{student_id:str}/days", opt={OPT_KEY: LIST_DAYS})
    async def show_list(request: AnyRequest) -> Response[bytes]:
        student_id = id_in_path(request, "student_id", "student")
        wanted = _wanted(query_of(request, DaysQuery))
        return await stored.show(request, lambda work: list_days(work, student_id, wanted))

    @get("/v1/students/{student_id:str}/days/{date:str}", opt={OPT_KEY: SHOW_DAY})
    async def show(request: AnyRequest) -> Response[bytes]:
        student_id, day = id_in_path(request, "student_id", "student"), _day_in_path(request)
        return await stored.show(request, lambda work: show_day(work, student_id, day))

    @put("/v1/students/{student_id:str}/days/{date:str}", opt={OPT_KEY: SET_DAY})
    async def set_one(request: AnyRequest) -> Response[bytes]:
        student_id, day = id_in_path(request, "student_id", "student"), _day_in_path(request)

        async def change() -> Response[bytes]:
            return await stored.change(
                request, AskedDay, lambda work, body: set_day(work, student_id, day, body)
            )

        try:
            return await change()
        except ClashError:
            # Somebody else made the day's first sheet at the same time: now it is there, and can be looked at.
            return await change()

    return [show_list, show, set_one]


def _day_in_path(request: AnyRequest) -> dt.date:
    text: str = request.path_params["date"]
    if not re.search(_DATE_PATTERN, text):
        raise MissingError("day", "date")
    try:
        return dt.date.fromisoformat(text)
    except ValueError:
        raise MissingError("day", "date") from None


def _wanted(query: DaysQuery) -> WantedDays:
    return WantedDays(
        page=page_of(query),
        first=None if query.first is UNSET else query.first,
        last=None if query.last is UNSET else query.last,
    )
