"""Every plan that the engine makes is accepted by the verifier, which shares no code with it."""

import json
from typing import Any

from bagatelle import compress, decode_request, load_instruments
from bagatelle.model.errors import NoShortDayFitsError, NothingAllowedError, NothingFitsError
from bagatelle.model.plan import CompressionAnswer
from bagatelle.verify import verify_answer
from hypothesis import given, reject, settings

from tests.property.practice_requests import practice_requests

INSTRUMENTS = load_instruments()


def answer_to(request: dict[str, Any]) -> CompressionAnswer:
    try:
        return compress(decode_request(json.dumps(request).encode()), INSTRUMENTS)
    except (NothingFitsError, NoShortDayFitsError, NothingAllowedError):
        reject()


@given(practice_requests())
@settings(max_examples=80, deadline=None)
def test_every_plan_is_accepted(request: dict[str, Any]) -> None:
    verdict = verify_answer(answer_to(request))
    assert verdict.faults == ()


@given(practice_requests())
@settings(max_examples=40, deadline=None)
def test_every_measured_ladder_is_accepted(request: dict[str, Any]) -> None:
    verdict = verify_answer(answer_to(request | {"measure_ladder": True}))
    assert verdict.faults == ()


@given(practice_requests(most_tasks=5))
@settings(max_examples=10, deadline=None)
def test_every_minute_of_a_ladder_is_accepted(request: dict[str, Any]) -> None:
    verdict = verify_answer(answer_to(request | {"measure_ladder": True}), thorough=True)
    assert verdict.faults == ()
