"""The same request and the same versions give the same bytes, in this process and in another."""

import msgspec
from bagatelle import compress, load_instruments
from bagatelle.model.errors import BagatelleError
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.other_process import lines_of_another_process
from tests.strategies import Sent, instruments, request_of, requests

ANSWER_EACH_LINE = """
import sys, msgspec
from bagatelle import BagatelleError, compress, decode_request, load_instruments
loaded = load_instruments()
for line in sys.stdin.buffer:
    try:
        answer = compress(decode_request(line), loaded)
    except BagatelleError as error:
        answer = repr(error)
    sys.stdout.buffer.write(msgspec.json.encode(answer) + b"\\n")
"""


def answer_bytes(sent: Sent) -> bytes:
    try:
        return msgspec.json.encode(compress(request_of(sent), instruments()))
    except BagatelleError as error:
        return msgspec.json.encode(repr(error))


@given(requests(measured=True))
def test_twice_in_one_process(sent: Sent) -> None:
    assert answer_bytes(sent) == answer_bytes(sent)


@settings(max_examples=3)
@given(st.lists(requests(measured=True), min_size=4, max_size=8), st.integers(1, 4_000_000_000))
def test_in_another_process_with_another_hash_seed(sent: list[Sent], seed: int) -> None:
    answers = lines_of_another_process(ANSWER_EACH_LINE, map(msgspec.json.encode, sent), seed)
    assert answers == [answer_bytes(each) for each in sent]


@given(requests())
def test_with_catalogues_loaded_anew(sent: Sent) -> None:
    try:
        again = msgspec.json.encode(compress(request_of(sent), load_instruments()))
    except BagatelleError as error:
        again = msgspec.json.encode(repr(error))
    assert again == answer_bytes(sent)
