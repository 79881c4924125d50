"""`POST /v1/compressions` and `POST /v1/specificity-checks`: the engine over HTTP."""

from typing import Any, Final

from bagatelle.model.plan import CompressionAnswer, SpecificityAnswer
from bagatelle.model.request import CompressionRequest
from litestar import Request, Response, post
from litestar.handlers import HTTPRouteHandler

from bagatelle_service.api import problems
from bagatelle_service.api.answering import example_answer, json_answer
from bagatelle_service.api.engine_of import EngineOf
from bagatelle_service.api.operation import OPT_KEY, Example, Operation, from_file
from bagatelle_service.api.strictness import read_body

AnyRequest = Request[Any, Any, Any]
TITLES: Final = "compression-request-titles"


COMPRESS = Operation(
    operation_id="compress",
    tag="plans",
    summary="Make a short-day plan of a routine",
    description=(
        "Cuts a normal routine to a plan for what the day gives, with the ladder on from it, the reasons, and "
        "every number that the search saw. Nothing is stored. The same request gets the same plan. With no time "
        "given, the plan takes a quarter of the usual time; a longer day is planned to the half, and the ladder "
        "goes on from there. Where a plugin fails, its tasks are left out and named under `plugin_problems`, and "
        "the plan stands. At most 200 tasks in all blocks together, 40 blocks, 24 windows, 600 minutes a block."
    ),
    body=CompressionRequest,
    body_examples=(
        Example("pianist", "A pianist with two free gaps", from_file("compression-request-piano")),
        Example("titles", "Titles and minutes alone", from_file(TITLES)),
    ),
    answer=CompressionAnswer,
    answer_description="The plan.",
    answer_examples=(
        Example(
            "titles",
            "The plan for titles and minutes alone",
            example_answer(TITLES, "compress"),
        ),
    ),
    problems=(
        problems.NOT_SHORT,
        problems.NOTHING_FITS,
        problems.NO_SHORT_DAY_FITS,
        problems.NOTHING_ALLOWED,
        problems.NOT_SPECIFIC,
        problems.PLUGIN_FAILED,
        problems.OUT_OF_TIME,
    ),
)
CHECK_SPECIFICITY = Operation(
    operation_id="check_specificity",
    tag="plans",
    summary="Find the questions that a routine leaves open",
    description=(
        "Which material, in which manner, how much, finished when: each question that a task leaves open comes "
        "with a JSON Pointer to the field that would answer it and a JSON Patch that proposes an answer. Takes "
        "the same body as a compression. Nothing is stored."
    ),
    body=CompressionRequest,
    body_examples=COMPRESS.body_examples,
    answer=SpecificityAnswer,
    answer_description="The open questions; none where the routine is specific.",
    answer_examples=(
        Example(
            "titles",
            "What titles and minutes alone leave open",
            example_answer(TITLES, "check_specificity"),
        ),
    ),
    problems=(problems.NOT_SHORT, problems.PLUGIN_FAILED, problems.OUT_OF_TIME),
)


def engine_routes(engine_of: EngineOf) -> list[HTTPRouteHandler]:
    """Make the handlers that call the engine."""

    @post("/v1/compressions", status_code=200, opt={OPT_KEY: COMPRESS})
    async def compress(request: AnyRequest) -> Response[bytes]:
        body = await read_body(request)
        return json_answer(await (await engine_of(request)).ask("compress", body))

    @post("/v1/specificity-checks", status_code=200, opt={OPT_KEY: CHECK_SPECIFICITY})
    async def check_specificity(request: AnyRequest) -> Response[bytes]:
        body = await read_body(request)
        return json_answer(await (await engine_of(request)).ask("check_specificity", body))

    return [compress, check_specificity]
