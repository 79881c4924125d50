"""`/v1/trail`: who read or changed what."""

from datetime import UTC, datetime
from typing import Annotated, Any, Final
from uuid import UUID

from litestar import Request, Response, get
from litestar.handlers import HTTPRouteHandler
from msgspec import UNSET, Meta, UnsetType

from bagatelle_service.api import problems
from bagatelle_service.api.operation import OPT_KEY, Example, Operation, from_file
from bagatelle_service.api.problems import ProblemError, WrongField
from bagatelle_service.api.school.parameters import EXAMPLE_ID, PageQuery, page_of
from bagatelle_service.api.school.stored import Stored
from bagatelle_service.api.strictness import query_of
from bagatelle_service.school.fields import IdText
from bagatelle_service.school.trail_pages import TrailAnswer, WantedEntries, list_trail

AnyRequest = Request[Any, Any, Any]
_Moment = Annotated[datetime, Meta(tz=True)]


class TrailQuery(PageQuery, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Filters; several given must all hold."""

    actor: (
        Annotated[IdText, Meta(description="Only what this pseudonym did.", examples=[EXAMPLE_ID])]
        | UnsetType
    ) = UNSET
    subject: (
        Annotated[IdText, Meta(description="Only what was about this pseudonym.", examples=[EXAMPLE_ID])]
        | UnsetType
    ) = UNSET
    staff: (
        Annotated[IdText, Meta(description="Only what this owner or teacher did.", examples=[EXAMPLE_ID])]
        | UnsetType
    ) = UNSET
    student: (
        Annotated[IdText, Meta(description="Only what was about this student.", examples=[EXAMPLE_ID])]
        | UnsetType
    ) = UNSET
    operation: (
        Annotated[
            str,
            Meta(
                pattern=r"^[a-z_]{1,64}$(?!\n)",
                max_length=64,
                description="Only this operation, by its id in this description.",
                examples=["show_student"],
            ),
        ]
        | UnsetType
    ) = UNSET
    after: (
        Annotated[
            _Moment,
            Meta(
                description="Only from this moment on (RFC 3339, with its offset from UTC).",
                examples=["2027-03-01T00:00:00Z"],
            ),
        ]
        | UnsetType
    ) = UNSET
    before: (
        Annotated[
            _Moment,
            Meta(
                description="Only up to this moment, without it (RFC 3339, with its offset from UTC).",
                examples=["2027-04-01T00:00:00+02:00"],
            ),
        ]
        | UnsetType
    ) = UNSET


LIST_TRAIL: Final = Operation(
    operation_id="list_trail",
    tag="school",
    summary="List the trail",
    description=(
        "Who read or changed what, the oldest first, by pseudonyms. A student's own stands in the export; the "
        "filters `student` and `staff` take ids. What a student reads of themselves is not noted."
    ),
    stored=True,
    scope="trail.read",
    query=TrailQuery,
    answer=TrailAnswer,
    answer_description="One page of it.",
    answer_examples=(Example("trail", "The only page", from_file("trail-answer")),),
)


def trail_routes(stored: Stored) -> list[HTTPRouteHandler]:
    """Make the handler."""

    @get("/v1/trail", opt={OPT_KEY: LIST_TRAIL})
    async def show_trail(request: AnyRequest) -> Response[bytes]:
        wanted = _wanted(query_of(request, TrailQuery))
        # So that the list has what was read a moment ago.
        await stored.trail.write()
        return await stored.show(request, lambda work: list_trail(work, wanted))

    return [show_trail]


def _wanted(query: TrailQuery) -> WantedEntries:
    return WantedEntries(
        page=page_of(query),
        actor=_id(query.actor),
        subject=_id(query.subject),
        staff_id=_id(query.staff),
        student_id=_id(query.student),
        operation=query.operation or None,
        after=_moment("after", query.after),
        before=_moment("before", query.before),
    )


def _id(text: str | UnsetType) -> UUID | None:
    return UUID(text) if text else None


def _moment(name: str, moment: datetime | UnsetType) -> datetime | None:
    if moment is UNSET:
        return None
    try:
        return moment.astimezone(UTC)
    except OverflowError:
        wrong = WrongField(
            part="query",
            pointer=f"/{name}",
            message="not within the years 1 to 9999 in UTC",
            accepted="a moment with its offset from UTC (RFC 3339)",
        )
        raise ProblemError(problems.INVALID_INPUT, "One query parameter is wrong.", errors=(wrong,)) from None
