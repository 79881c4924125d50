"""What is asked of the engine over HTTP: a body in, an answer out, both as bytes."""

from collections.abc import Awaitable, Callable
from typing import Any, Literal, TypeAlias

import bagatelle
import msgspec
from bagatelle import Instruments, decode_forecast_request, decode_request

Question: TypeAlias = Literal["compress", "check_specificity", "forecast"]
Ask: TypeAlias = Callable[[Question, bytes], Awaitable[bytes]]
"""Asks, off the event loop and on a clock: the question with its body, for the answer."""


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
        case "forecast":
            return bagatelle.forecast(decode_forecast_request(body), instruments)
