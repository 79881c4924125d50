"""Plans prepared for many students in one streamed answer: a line for each routine, and the sums at the end."""

import logging
from collections.abc import AsyncIterator
from typing import Any, Final
from uuid import UUID

import msgspec
from bagatelle.decode import decode
from litestar import Request, post
from litestar.handlers import HTTPRouteHandler
from litestar.response import Stream
from msgspec import Struct

from bagatelle_service.api.engine_of import EngineOf
from bagatelle_service.api.errors import problem_of
from bagatelle_service.api.operation import NDJSON, OPT_KEY, Example, Operation, from_file, lines_from_file
from bagatelle_service.api.problems import UNKNOWN_ID, Problem
from bagatelle_service.api.school.stored import Stored
from bagatelle_service.api.strictness import read_body
from bagatelle_service.school.fields import Revision
from bagatelle_service.school.preparation_sums import Sums
from bagatelle_service.school.preparations import WantedPreparations, begin, prepare_many
from bagatelle_service.school.set_making import EmptyKind, PlanOfSet, SetOutcome
from bagatelle_service.school.set_preparation import Preparation, Prepared

AnyRequest = Request[Any, Any, Any]
logger = logging.getLogger("bagatelle_service.problems")
_NOTHING: Final = SetOutcome(plans=(), nothing_for=())


class RoutineLine(Struct, frozen=True, kw_only=True, tag_field="line", tag="routine"):
    """What became of one routine, or would."""

    student: UUID
    routine: UUID
    routine_revision: Revision
    plans: tuple[PlanOfSet, ...]
    nothing_for: tuple[EmptyKind, ...]
    problem: Problem | None
    """Why nothing became of it; then nothing of this routine was changed. Pointers lead into the routine."""


class SumLine(Sums, frozen=True, kw_only=True, tag_field="line", tag="sum"):
    """The last line: where it is missing, the work was not ended."""

    dry_run: bool


PREPARE_MANY = Operation(
    operation_id="prepare_many",
    tag="practice",
    summary="Prepare plans for many students",
    description=(
        "For all students whom the caller reaches, or those of one group. The answer is JSON in lines, each sent "
        "as soon as it is there: one for each routine that there was anything to do for, `line` being `routine`, "
        "and at last the sums, `line` being `sum`. Each student is done whole or not at all, so who goes "
        "away leaves whole students only, and the same request again goes on where it stopped. What goes wrong "
        "with one student stands in their line and stops no other. With `dry_run` it is only said what would "
        "change."
    ),
    stored=True,
    scope="practice.change",
    body=WantedPreparations,
    body_examples=(
        Example("school", "Whatever is missing or outdated", from_file("preparations-wanted")),
        Example("group", "What would change for a group", from_file("preparations-of-a-group")),
    ),
    media_type=NDJSON,
    answer=RoutineLine | SumLine,
    answer_description="A line for each routine, and the sums.",
    answer_examples=(
        Example("lines", "One routine done, one refused", lines_from_file("preparation-lines")),
    ),
    about_many=True,
    problems=(UNKNOWN_ID,),
)


def preparation_routes(stored: Stored, engine_of: EngineOf, *, at_once: int) -> list[HTTPRouteHandler]:
    """Make the handler.

    :param at_once: how many students are worked at together, for each request.
    """

    @post("/v1/preparations", status_code=200, opt={OPT_KEY: PREPARE_MANY})
    async def prepare(request: AnyRequest) -> Stream:
        wanted = decode(await read_body(request), WantedPreparations)
        engine = await engine_of(request)
        preparation = Preparation(sessions=stored.sessions(request), ask=engine.ask, dry_run=wanted.dry_run)
        await begin(preparation.sessions, wanted)
        request_id: str = request.scope["state"]["request_id"]

        async def lines() -> AsyncIterator[bytes]:
            sums = Sums()
            async for done in prepare_many(preparation, wanted, engine.loaded, at_once):
                sums = sums.with_student(done.prepared)
                for each in done.prepared:
                    yield _as_line(_line(each, request_id))
            yield _as_line(SumLine(**msgspec.structs.asdict(sums), dry_run=wanted.dry_run))

        return Stream(lines(), media_type=NDJSON)

    return [prepare]


def _line(prepared: Prepared, request_id: str) -> RoutineLine:
    routine, outcome = prepared.found.routine, prepared.outcome
    became, problem = outcome, None
    if isinstance(became, Exception):
        problem = problem_of(became, request_id)
        if problem.status == 500:
            logger.error("request %s failed for one routine", request_id, exc_info=became)
        became = _NOTHING
    return RoutineLine(
        student=routine.student_id,
        routine=routine.id,
        routine_revision=routine.revision,
        plans=became.plans,
        nothing_for=became.nothing_for,
        problem=problem,
    )


def _as_line(line: RoutineLine | SumLine) -> bytes:
    return msgspec.json.encode(line) + b"\n"
