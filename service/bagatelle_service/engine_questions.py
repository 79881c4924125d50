"""What is asked of the engine: a body in, an answer out, both as bytes."""

from collections.abc import Awaitable, Callable
from typing import Any, Literal, TypeAlias

import bagatelle
import msgspec
from bagatelle import Instruments, decode_forecast_request, decode_request
from bagatelle.model.errors import InvalidInputError, PluginError, UnknownExerciseError
from bagatelle.model.plan import SpecificityAnswer
from msgspec import Struct

from bagatelle_service.joined_instruments import CatalogueToRead, read_catalogue
from bagatelle_service.progress_question import ProgressQuestion, find_progress
from bagatelle_service.school.card_sets import SetToPrepare, prepare_cards

Question: TypeAlias = Literal[
    "compress",
    "check_specificity",
    "check_plannable",
    "forecast",
    "prepare",
    "progress",
    "units",
    "read_catalogue",
]
Ask: TypeAlias = Callable[[Question, bytes], Awaitable[bytes]]
"""Asks, off the event loop and on a clock: the question with its body, for the answer."""


class ExerciseInUse(Struct, frozen=True, kw_only=True):
    """A catalogue exercise with the settings that a task gives it; what the question `units` asks of several."""

    exercise: str
    settings: dict[str, Any]


def answer_to(question: Question, body: bytes, instruments: Instruments) -> bytes:
    """Decode the body, ask the engine, encode its answer.

    :raises Exception: what decoding and the engine raise; `api.errors` names the problem of each.
    """
    return msgspec.json.encode(_answer(question, body, instruments))


def _answer(question: Question, body: bytes, instruments: Instruments) -> Any:
    match question:
        case "compress":
            return bagatelle.compress(decode_request(body), instruments)
        case "check_specificity":
            return bagatelle.check_specificity(decode_request(body), instruments)
        case "check_plannable":
            return _plannable(bagatelle.check_specificity(decode_request(body), instruments))
        case "forecast":
            return bagatelle.forecast(decode_forecast_request(body), instruments)
        case "prepare":
            # The service's own question about what it stores, so that nothing in it is a client's to be told of.
            return prepare_cards(msgspec.json.decode(body, type=SetToPrepare), instruments)
        case "progress":
            return find_progress(msgspec.json.decode(body, type=ProgressQuestion), instruments)
        case "units":
            asked = msgspec.json.decode(body, type=list[ExerciseInUse])
            return [_unit_ids(each, instruments) for each in asked]
        case "read_catalogue":
            return read_catalogue(msgspec.json.decode(body, type=CatalogueToRead), instruments)


def _plannable(answer: SpecificityAnswer) -> SpecificityAnswer:
    """The answer, where every plugin has looked at its tasks: what nobody has looked at is not stored.

    :raises PluginError: where one failed.
    """
    for problem in answer.plugin_problems or ():
        raise PluginError(problem.plugin, problem.hook, problem.exercise, problem.message, problem.failure)
    return answer


def _unit_ids(used: ExerciseInUse, instruments: Instruments) -> list[str]:
    """The units of an exercise in its own order; none where no loaded plugin takes it with these settings."""
    try:
        if instruments.settings_errors(used.exercise, used.settings):
            return []
        complete = instruments.complete_settings(used.exercise, used.settings)
        return [unit.id for unit in instruments.material(used.exercise, complete).units]
    except (UnknownExerciseError, InvalidInputError):
        return []
