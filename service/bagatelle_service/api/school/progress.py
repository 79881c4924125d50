"""`/v1/students/{student_id}/progress` and `/offers`: what logs and plans come to, and the one change offered."""

from datetime import date, timedelta
from typing import Annotated, Any, Final

from litestar import Request, Response, get, put
from litestar.handlers import HTTPRouteHandler
from msgspec import UNSET, Meta, Struct, UnsetType, field

from bagatelle_service.api import problems
from bagatelle_service.api.engine_of import EngineOf
from bagatelle_service.api.operation import OPT_KEY, Example, Operation, PathParameter, from_file
from bagatelle_service.api.problems import ProblemError, WrongField
from bagatelle_service.api.school.parameters import EXAMPLE_ID, id_in_path
from bagatelle_service.api.school.stored import Stored
from bagatelle_service.api.school.students import STUDENT_ID
from bagatelle_service.api.strictness import query_of
from bagatelle_service.school.answers import Made
from bagatelle_service.school.offers import (
    OFFER_KEY_LENGTH,
    OFFER_KEY_PATTERN,
    AnsweredOfferBody,
    OfferAnswered,
    answer_offer,
)
from bagatelle_service.school.practice_facts import AskedStretch, GatheredPractice, weeks_up_to
from bagatelle_service.school.progress import (
    ProgressAnswer,
    gather_progress,
    progress_made,
    question_body,
    read_found,
)

AnyRequest = Request[Any, Any, Any]
LONGEST_STRETCH_DAYS: Final = 731
"""Two years, a leap year among them."""
_OFFER_KEY: Final = PathParameter(
    name="offer_key",
    description="The `key` of the offer, as the progress shows it.",
    example=f"left-out:{EXAMPLE_ID}",
    pattern=OFFER_KEY_PATTERN,
    longest=OFFER_KEY_LENGTH,
)


class ProgressQuery(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Which days are wanted, both ends among them: at most two years, none of them still to come."""

    first_day: (
        Annotated[
            date,
            Meta(
                description="From this day on; without it, from 83 days before the last.",
                examples=["2027-01-04"],
            ),
        ]
        | UnsetType
    ) = field(default=UNSET, name="from")
    last_day: (
        Annotated[
            date,
            Meta(
                description="Up to this day; without it, up to the student's today.", examples=["2027-03-28"]
            ),
        ]
        | UnsetType
    ) = field(default=UNSET, name="to")


SHOW_PROGRESS: Final = Operation(
    operation_id="show_progress",
    tag="practice",
    summary="Show a student's progress",
    description=(
        "What the logs and the plans of some weeks come to: days kept (a short day is a kept day, full weight; a "
        "day off by plan is no gap), time by area and week, gaps, units covered, how plans were used and whether "
        "they fit, and one small change that is offered and never applied by itself. It begins with the day on "
        "which the student came in, or with the first log, where `from` is earlier. Offers stand on the last "
        "twelve weeks, whatever days are asked for, and are in the words of the routine's locale. Units and titles "
        "are those that the routines have now."
    ),
    stored=True,
    scope="practice.read",
    path_parameters=STUDENT_ID,
    query=ProgressQuery,
    answer=ProgressAnswer,
    answer_description="The progress, with the tasks that it names.",
    answer_examples=(Example("progress", "Three weeks, and an offer", from_file("progress-answer")),),
    problems=(problems.PLUGIN_FAILED, problems.OUT_OF_TIME),
)
ANSWER_OFFER: Final = Operation(
    operation_id="answer_offer",
    tag="practice",
    summary="Take an offer, or put it aside for good",
    description=(
        "Either way it does not come again. Taking it answers the JSON Patch that would carry it out, of the "
        "routine or of what was chosen for a plan, and changes nothing by itself. It can be said again, and "
        "otherwise; 404 where nothing of the key is offered and nothing was answered before."
    ),
    stored=True,
    scope="practice.change",
    path_parameters=(*STUDENT_ID, _OFFER_KEY),
    body=AnsweredOfferBody,
    body_examples=(Example("taken", "It is taken", from_file("offer")),),
    answer=OfferAnswered,
    answer_description="The offer, and what became of it.",
    answer_examples=(Example("taken", "It was taken", from_file("offer-answer")),),
    problems=(problems.PLUGIN_FAILED, problems.OUT_OF_TIME),
)


def progress_routes(stored: Stored, engine_of: EngineOf) -> list[HTTPRouteHandler]:
    """Make the handlers."""

    @get("/v1/students/{student_id:str}/progress", opt={OPT_KEY: SHOW_PROGRESS})
    async def show(request: AnyRequest) -> Response[bytes]:
        student_id = id_in_path(request, "student_id", "student")
        query = query_of(request, ProgressQuery)

        async def work_out(gathered: GatheredPractice) -> Made:
            engine = await engine_of(request)
            return progress_made(gathered, read_found(await engine.ask("progress", question_body(gathered))))

        return await stored.show_worked_out(
            request,
            lambda work: gather_progress(work, student_id, lambda today: _stretch(query, today)),
            work_out,
        )

    @put("/v1/students/{student_id:str}/offers/{offer_key:str}", opt={OPT_KEY: ANSWER_OFFER})
    async def answer(request: AnyRequest) -> Response[bytes]:
        student_id = id_in_path(request, "student_id", "student")
        key = request.path_params["offer_key"]
        gathered = await stored.look(request, lambda work: gather_progress(work, student_id, weeks_up_to))
        engine = await engine_of(request)
        found = read_found(await engine.ask("progress", question_body(gathered)))
        return await stored.change(
            request, AnsweredOfferBody, lambda work, body: answer_offer(work, key, body, gathered, found)
        )

    return [show, answer]


def _stretch(query: ProgressQuery, today: date) -> AskedStretch:
    last_day = today if query.last_day is UNSET else query.last_day
    if last_day > today:
        raise _wrong_day(
            "to", f"{last_day} is still to come", f"a day up to {today}, the student's own today"
        )
    if query.first_day is UNSET:
        return weeks_up_to(last_day)
    if query.first_day > last_day:
        raise _wrong_day("from", f"{query.first_day} is after the last day", f"a day up to {last_day}")
    days = (last_day - query.first_day).days + 1
    if days > LONGEST_STRETCH_DAYS:
        raise _wrong_day(
            "from",
            f"{days} days are too many",
            f"a day from {last_day - timedelta(days=LONGEST_STRETCH_DAYS - 1)} on",
        )
    return AskedStretch(first_day=query.first_day, last_day=last_day)


def _wrong_day(name: str, message: str, accepted: str) -> ProblemError:
    wrong = WrongField(part="query", pointer=f"/{name}", message=message, accepted=accepted)
    return ProblemError(problems.INVALID_INPUT, "One query parameter is wrong.", errors=(wrong,))
