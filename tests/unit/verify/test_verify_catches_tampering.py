"""Real answers are accepted; with one thing falsified they are rejected, each for the right reason."""

from typing import Any

import msgspec
import pytest
from bagatelle.model.plan import CompressionAnswer
from bagatelle.verify import Fault, verify_answer

from tests.unit.verify.real_answers import DAYS, real_answer
from tests.unit.verify.tampering import TAMPERINGS, Tampering
from tests.unit.verify.tampering_of_results import TAMPERINGS_OF_RESULTS

ALL_TAMPERINGS = TAMPERINGS | TAMPERINGS_OF_RESULTS


def tampered(day: str, tampering: Tampering) -> CompressionAnswer | None:
    """The day's answer with one thing falsified; None where there is nothing of the kind to falsify."""
    content: dict[str, Any] = msgspec.json.decode(msgspec.json.encode(real_answer(day)))
    if not tampering(content["plan"]):
        return None
    return msgspec.convert(content, CompressionAnswer)


@pytest.mark.parametrize("day", DAYS)
def test_a_real_answer_is_accepted(day: str) -> None:
    verdict = verify_answer(real_answer(day), thorough=day == "a quarter")
    assert verdict.faults == ()
    assert verdict.accepted


@pytest.mark.parametrize("name", ALL_TAMPERINGS)
def test_tampering_is_caught_wherever_it_is_possible(name: str) -> None:
    tampering, code = ALL_TAMPERINGS[name]
    answers = {day: answer for day in DAYS if (answer := tampered(day, tampering)) is not None}
    assert answers, "no answer has anything of the kind to falsify"
    for day, answer in answers.items():
        faults = _faults(answer, code)
        assert code in {fault.code for fault in faults}, day
        for fault in faults:
            assert _leads_somewhere(fault.pointer, answer), fault


def _faults(answer: CompressionAnswer, code: str) -> tuple[Fault, ...]:
    """The faults found; the optimum is looked for only where the expected fault needs it."""
    verdict = verify_answer(answer, optimum=False)
    if code not in {fault.code for fault in verdict.faults}:
        verdict = verify_answer(answer)
    assert verdict.accepted == (not verdict.faults)
    return verdict.faults


def _leads_somewhere(pointer: str, answer: CompressionAnswer) -> bool:
    """Whether a JSON Pointer (RFC 6901) leads to a value that is there, or to a field left out at its default."""
    value: Any = msgspec.to_builtins(answer)
    *parents, last = pointer.split("/")[1:]
    for token in parents:
        value = value[int(token)] if isinstance(value, list | tuple) else value[token]
    return int(last) < len(value) if isinstance(value, list | tuple) else isinstance(value, dict)
