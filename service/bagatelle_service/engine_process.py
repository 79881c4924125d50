"""One process of the engine's own: it takes a question at a time from the service, and sends the answer back.

`python -m bagatelle_service.engine_process DESCRIPTOR` is started by `engine_processes` and ends with the service:
when the socket of that file descriptor closes. A message is its length in four bytes, the first the highest, and
then itself, in MessagePack.
"""

import signal
import sys
import traceback
from collections.abc import Callable
from io import BufferedRWPair
from socket import socket
from typing import Final, TypeAlias

import msgspec
from bagatelle import load_instruments
from msgspec import Struct

from bagatelle_service.api.errors import problem_of
from bagatelle_service.api.problems import Problem
from bagatelle_service.engine_questions import Question, answer_to
from bagatelle_service.memory import keep_what_is_loaded

LENGTH_BYTES: Final = 4


class Asked(Struct, frozen=True, array_like=True):
    """A question."""

    question: Question
    body: bytes


class Answered(Struct, frozen=True, array_like=True):
    """What became of a question: the bytes of its answer, or else a problem, with the trace of a fault of ours."""

    answer: bytes = b""
    problem: Problem | None = None
    trace: str = ""


Answer: TypeAlias = Callable[[Question, bytes], bytes]


def framed(message: Struct) -> bytes:
    """A message as it goes over the socket."""
    encoded = msgspec.msgpack.encode(message)
    return len(encoded).to_bytes(LENGTH_BYTES, "big") + encoded


def answer_questions(stream: BufferedRWPair, answer: Answer) -> None:
    """Answer until the stream ends."""
    while length := stream.read(LENGTH_BYTES):
        asked = msgspec.msgpack.decode(stream.read(int.from_bytes(length, "big")), type=Asked)
        stream.write(framed(_answered(asked, answer)))
        stream.flush()


def _answered(asked: Asked, answer: Answer) -> Answered:
    try:
        return Answered(answer(asked.question, asked.body))
    except Exception as error:  # whatever it is goes back: the service names it, and logs it where it is ours
        problem = problem_of(error, "")
        trace = "".join(traceback.format_exception(error)) if problem.status == 500 else ""
        return Answered(problem=problem, trace=trace)


def run(descriptor: int, answer: Answer) -> None:
    """Answer whoever has the other end of a socket."""
    # Ctrl-C goes to the whole group of processes; the service ends this one when its own requests are over.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    with socket(fileno=descriptor) as end, end.makefile("rwb") as stream:
        answer_questions(stream, answer)


def main() -> None:
    """Load what answers, and answer."""
    instruments = load_instruments()
    keep_what_is_loaded()
    run(int(sys.argv[1]), lambda question, body: answer_to(question, body, instruments))


if __name__ == "__main__":
    main()
