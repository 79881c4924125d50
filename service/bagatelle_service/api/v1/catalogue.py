"""`GET /v1/instruments`, `/v1/exercises`, `/v1/exercises/{id}`, `/v1/plugins`: what the plugins know."""

from typing import Any

import msgspec
from bagatelle import Instruments
from bagatelle.catalogue.search import ExerciseSearch
from litestar import Request, Response, get
from litestar.handlers import HTTPRouteHandler
from msgspec import Struct

from bagatelle_service.api import problems
from bagatelle_service.api.answering import ASK_AGAIN, tagged_answer
from bagatelle_service.api.engine_of import EngineOf
from bagatelle_service.api.operation import OPT_KEY, Example, Operation, PathParameter, from_file
from bagatelle_service.api.strictness import query_of
from bagatelle_service.api.v1.exercise_answers import (
    ExerciseAnswer,
    ExerciseCounts,
    ExercisesAnswer,
    InstrumentsAnswer,
    PluginsAnswer,
    exercise_in_short,
    instrument_answer,
    plugin_answer,
    whole_exercise,
)
from bagatelle_service.api.v1.exercise_query import (
    DEFAULT_LOCALE,
    ExercisesQuery,
    Locale,
    cursor_after,
    passed_before,
    wanted_by,
)
from bagatelle_service.engine_calls import EngineCalls
from bagatelle_service.plugin_watch import PluginWatch

AnyRequest = Request[Any, Any, Any]


class LocaleQuery(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The language alone."""

    locale: Locale = DEFAULT_LOCALE


LIST_INSTRUMENTS = Operation(
    operation_id="list_instruments",
    tag="catalogue",
    summary="List the instruments",
    description=(
        "Those of all loaded plugins, and with a token of a school the school's own. `next` is for later pages; so "
        "far there are none."
    ),
    query=LocaleQuery,
    answer=InstrumentsAnswer,
    answer_description="The instruments.",
    answer_examples=(Example("instruments", "Two instruments", from_file("instruments-answer")),),
    cached=True,
)
LIST_EXERCISES = Operation(
    operation_id="list_exercises",
    tag="catalogue",
    summary="List exercises",
    description=(
        "In short; each by itself has more. With a token of a school, the school's own are among them. With `q` "
        "the best matches come first, of equal ones the smaller id; without it the order is the catalogue's. "
        "`counts` says of each value of each filter how many exercises have it and pass all *other* filters: what "
        "there would be with this value in that filter's place."
    ),
    query=ExercisesQuery,
    answer=ExercisesAnswer,
    answer_description="A page of the exercises that pass all filters, and the counts.",
    answer_examples=(Example("exercises", "One exercise", from_file("exercises-answer")),),
    cached=True,
)
SHOW_EXERCISE = Operation(
    operation_id="show_exercise",
    tag="catalogue",
    summary="Show an exercise",
    description=(
        "With the JSON Schema of its settings, their defaults, where its facts come from, and the texts and "
        "units that the defaults make of it."
    ),
    path_parameters=(
        PathParameter(
            name="exercise_id",
            description="Id of the exercise: its instrument, a dot, its name.",
            example="piano.major-scale",
            pattern=r"^[a-z0-9-]+\.[a-z0-9-]+$",
            longest=128,
        ),
    ),
    query=LocaleQuery,
    answer=ExerciseAnswer,
    answer_description="The exercise.",
    answer_examples=(Example("exercise", "An exercise", from_file("exercise-answer")),),
    problems=(problems.UNKNOWN_EXERCISE, problems.PLUGIN_FAILED, problems.OUT_OF_TIME),
    cached=True,
)
LIST_PLUGINS = Operation(
    operation_id="list_plugins",
    tag="catalogue",
    summary="List the plugins that were found",
    description=(
        "Those that were left out too, with the reason, and names that are allowed and not installed. `at_work` "
        "counts how a plugin has done since this process of the service began; where several serve, each counts "
        "for itself. `next` is for later pages; so far there are none."
    ),
    answer=PluginsAnswer,
    answer_description="The plugins.",
    answer_examples=(
        Example("plugins", "One asked, one in quarantine, one left out", from_file("plugins-answer")),
    ),
    cached=True,
)


def catalogue_routes(
    instruments: Instruments, engine_of: EngineOf, engine_calls: EngineCalls, watch: PluginWatch
) -> list[HTTPRouteHandler]:
    """Make the handlers. Where plugin code may run, it runs as an engine call does: bounded, on a clock."""

    @get("/v1/instruments", opt={OPT_KEY: LIST_INSTRUMENTS})
    async def list_instruments(request: AnyRequest) -> Response[bytes]:
        query = query_of(request, LocaleQuery)
        known = (await engine_of(request)).instruments
        found = tuple(instrument_answer(each, known, query.locale) for each in known.instruments)
        return tagged_answer(request, msgspec.json.encode(InstrumentsAnswer(instruments=found)))

    @get("/v1/exercises", opt={OPT_KEY: LIST_EXERCISES})
    async def list_exercises(request: AnyRequest) -> Response[bytes]:
        query = query_of(request, ExercisesQuery)
        known = (await engine_of(request)).instruments
        # The first who searches has the index made, in a thread, so that the service starts without it.
        search = known.made_search
        if search is None:
            search = await engine_calls.run(lambda: known.search)
        return tagged_answer(request, msgspec.json.encode(_found(search, query)))

    @get("/v1/exercises/{exercise_id:str}", opt={OPT_KEY: SHOW_EXERCISE})
    async def show_exercise(request: AnyRequest) -> Response[bytes]:
        query = query_of(request, LocaleQuery)
        known = (await engine_of(request)).instruments
        exercise = known.exercise(request.path_params["exercise_id"])
        body = await engine_calls.run(
            lambda: msgspec.json.encode(whole_exercise(exercise, known, query.locale))
        )
        return tagged_answer(request, body)

    @get("/v1/plugins", opt={OPT_KEY: LIST_PLUGINS})
    async def list_plugins(request: AnyRequest) -> Response[bytes]:
        plugins = tuple(plugin_answer(report, watch) for report in instruments.plugins)
        return tagged_answer(request, msgspec.json.encode(PluginsAnswer(plugins=plugins)), keep=ASK_AGAIN)

    return [list_instruments, list_exercises, show_exercise, list_plugins]


def _found(search: ExerciseSearch, query: ExercisesQuery) -> ExercisesAnswer:
    passed = passed_before(query)
    found = search.page(wanted_by(query), query.locale, limit=query.limit, passed=passed)
    end = passed + len(found.exercises)
    return ExercisesAnswer(
        exercises=tuple(map(exercise_in_short, found.exercises)),
        next=cursor_after(end) if end < found.matching and found.exercises else None,
        matching=found.matching,
        counts=ExerciseCounts(**found.counts),
    )
