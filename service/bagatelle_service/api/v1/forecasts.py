"""`POST /v1/forecasts`: a stretch of days played through, over HTTP."""

from typing import Any, Final

from bagatelle.forecasting.checking import SEVERAL_WINDOWS_WORK, UNIT_DAYS_LIMIT, WORK_LIMIT
from bagatelle.model.forecast import ForecastAnswer, ForecastRequest
from litestar import Request, Response, post
from litestar.handlers import HTTPRouteHandler

from bagatelle_service.api import problems
from bagatelle_service.api.answering import example_answer, json_answer
from bagatelle_service.api.engine_of import EngineOf
from bagatelle_service.api.operation import OPT_KEY, Example, Operation, from_file
from bagatelle_service.api.strictness import read_body

WEEK: Final = "forecast-request-week"


FORECAST = Operation(
    operation_id="forecast",
    tag="plans",
    summary="Say what a stretch of days would come to",
    description=(
        "Plays up to 366 days through, each known beforehand, drawn from a distribution, or usual: a usual day "
        "plays the whole routine, a short day the plan that a compression makes of it with the days before as its "
        "history, a day without time nothing. Says what each area and task would get, with short-day plans and "
        "without, and what a variant of routine or policy changes. It is a forecast from assumptions, which it "
        "lists. Nothing is stored. The same request gets the same answer. "
        f"Two limits beside those of a compression: the short days count at most {WORK_LIMIT} together, where a "
        "day of one window counts its tasks and one of several windows "
        f"{SEVERAL_WINDOWS_WORK} times its tasks for each; and units times days come to at most "
        f"{UNIT_DAYS_LIMIT}. A variant counts as well. Past them, and where the searches together take too many "
        "steps, the field `days` is refused."
    ),
    body=ForecastRequest,
    body_examples=(
        Example("week", "A week of known days", from_file(WEEK)),
        Example("year", "A year of drawn days, with a variant", from_file("forecast-request-year")),
    ),
    answer=ForecastAnswer,
    answer_description="The forecast.",
    answer_examples=(
        Example(
            "week",
            "The forecast of a week of known days",
            example_answer(WEEK, "forecast"),
        ),
    ),
    problems=(problems.NOT_SHORT, problems.PLUGIN_FAILED, problems.OUT_OF_TIME),
)


def forecast_routes(engine_of: EngineOf) -> list[HTTPRouteHandler]:
    """Make the handler that forecasts."""

    @post("/v1/forecasts", status_code=200, opt={OPT_KEY: FORECAST})
    async def forecast(request: Request[Any, Any, Any]) -> Response[bytes]:
        body = await read_body(request)
        return json_answer(await (await engine_of(request)).ask("forecast", body))

    return [forecast]
