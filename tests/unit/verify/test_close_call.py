"""A day on which another set of tasks is worth nearly as much, and hard to find: it is found, and said."""

from pathlib import Path

import pytest
from bagatelle import compress, decode_request, load_instruments
from bagatelle.engine import solving
from bagatelle.verify import verify_answer

ROUTINE = Path(__file__).with_name("close_call.json")


def test_the_verifier_finds_no_toss_up_that_was_not_said() -> None:
    answer = compress(decode_request(ROUTINE.read_bytes()), load_instruments())
    assert answer.plan.toss_up
    assert verify_answer(answer).faults == ()


def test_where_the_search_for_it_ends_early_that_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(solving, "ALTERNATIVE_STEPS", 10)
    answer = compress(decode_request(ROUTINE.read_bytes()), load_instruments())
    assert not answer.plan.toss_up
    assert not answer.plan.toss_up_sought
    assert verify_answer(answer).faults == ()
