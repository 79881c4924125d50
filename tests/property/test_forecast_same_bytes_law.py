"""The same forecast request gives the same bytes, in this process and in another, however its days are listed."""

import msgspec
from bagatelle import forecast
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.forecast_strategies import forecast_request_of, forecast_requests
from tests.other_process import lines_of_another_process
from tests.strategies import Sent, instruments

ANSWER_EACH_LINE = """
import sys, msgspec
from bagatelle import decode_forecast_request, forecast, load_instruments
loaded = load_instruments()
for line in sys.stdin.buffer:
    sys.stdout.buffer.write(msgspec.json.encode(forecast(decode_forecast_request(line), loaded)) + b"\\n")
"""


def answer_bytes(sent: Sent) -> bytes:
    return msgspec.json.encode(forecast(forecast_request_of(sent), instruments()))


@given(forecast_requests())
def test_twice_and_with_known_days_in_another_order(sent: Sent) -> None:
    assert answer_bytes(sent) == answer_bytes(sent)
    assert answer_bytes(sent) == answer_bytes(sent | {"known_days": sent["known_days"][::-1]})


@settings(max_examples=3)
@given(st.lists(forecast_requests(), min_size=4, max_size=8), st.integers(1, 4_000_000_000))
def test_in_another_process_with_another_hash_seed(sent: list[Sent], seed: int) -> None:
    answers = lines_of_another_process(ANSWER_EACH_LINE, map(msgspec.json.encode, sent), seed)
    assert answers == [answer_bytes(each) for each in sent]
