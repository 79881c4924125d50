"""A program that shares no code with the engine finds nothing wrong with any plan."""

from bagatelle import compress
from bagatelle.model.errors import NoShortDayFitsError, NothingAllowedError, NothingFitsError
from bagatelle.verify import verify_answer
from hypothesis import given, reject

from tests.strategies import Sent, instruments, request_of, requests


@given(requests(most_tasks=6, measured=True))
def test_every_plan_is_accepted(sent: Sent) -> None:
    try:
        answer = compress(request_of(sent), instruments())
    except (NothingFitsError, NoShortDayFitsError, NothingAllowedError):
        reject()
    verdict = verify_answer(answer)
    assert [fault for group in verdict.groups for fault in group.faults] == []
    assert verdict.accepted
