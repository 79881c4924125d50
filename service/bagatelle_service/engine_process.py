"""One process of the engine's own: it takes a question at a time from the service, and sends the answer back.

`python -m bagatelle_service.engine_process DESCRIPTOR [CHOICE]` is started by `engine_processes` and ends with the
service: when the socket of that file descriptor closes. CHOICE says in JSON which plugins to load. A message is its
length in four bytes, the first the highest, and then itself, in MessagePack. Before an answer come reports of each
hook that is called for it.
"""

import logging
import signal
import sys
import traceback
from collections.abc import Callable, Mapping
from io import BufferedRWPair
from socket import socket
from typing import Final, TypeAlias

import msgspec
from bagatelle.model.errors import FailureKind, PluginError
from bagatelle.toml_catalogue import CatalogueText
from msgspec import Struct

from bagatelle_service.api.errors import problem_of
from bagatelle_service.api.problems import Problem
from bagatelle_service.engine_questions import Question, answer_to
from bagatelle_service.hook_reports import HookReporter
from bagatelle_service.joined_instruments import JoinedInstruments
from bagatelle_service.memory import keep_what_is_loaded, load_without_searches
from bagatelle_service.plugin_choice import PluginChoice

LENGTH_BYTES: Final = 4


class Asked(Struct, frozen=True, array_like=True):
    """A question, and what may be asked of plugins for it (`HookReporter.begin`)."""

    question: Question
    body: bytes
    stopped: Mapping[str, FailureKind] = {}
    failures_left: Mapping[str, int] = {}
    failures_allowed: int = 1
    catalogues: tuple[CatalogueText, ...] = ()
    """Those of the school that asks; sent whole each time, as they are small, and kept as instruments."""


class Answered(Struct, frozen=True, array_like=True, tag=True):
    """What became of a question: the bytes of its answer, or else a problem, with the trace of a fault of ours."""

    answer: bytes = b""
    problem: Problem | None = None
    trace: str = ""


Answer: TypeAlias = Callable[[Question, bytes, tuple[CatalogueText, ...]], bytes]


def framed(message: Struct) -> bytes:
    """A message as it goes over the socket."""
    encoded = msgspec.msgpack.encode(message)
    return len(encoded).to_bytes(LENGTH_BYTES, "big") + encoded


def answer_questions(stream: BufferedRWPair, answer: Answer, reporter: HookReporter) -> None:
    """Answer until the stream ends."""

    def send(message: Struct) -> None:
        stream.write(framed(message))
        stream.flush()

    while length := stream.read(LENGTH_BYTES):
        asked = msgspec.msgpack.decode(stream.read(int.from_bytes(length, "big")), type=Asked)
        reporter.begin(send, asked.stopped, asked.failures_left, asked.failures_allowed)
        send(_answered(asked, answer))


def _answered(asked: Asked, answer: Answer) -> Answered:
    try:
        return Answered(answer(asked.question, asked.body, asked.catalogues))
    except Exception as error:  # whatever it is goes back: the service names it, and logs it where it is ours
        problem = problem_of(error, "")
        is_ours = problem.status == 500 and not isinstance(error, PluginError)
        trace = "".join(traceback.format_exception(error)) if is_ours else ""
        return Answered(problem=problem, trace=trace)


def run(descriptor: int, answer: Answer, reporter: HookReporter) -> None:
    """Answer whoever has the other end of a socket.

    :param reporter: the guard of the plugins that are asked for answers.
    """
    # Ctrl-C goes to the whole group of processes; the service ends this one when its own requests are over.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    with socket(fileno=descriptor) as end, end.makefile("rwb") as stream:
        answer_questions(stream, answer, reporter)


def main() -> None:
    """Load what answers, and answer."""
    # What is left out at load is said in the service's own log.
    logging.getLogger("bagatelle").addHandler(logging.NullHandler())
    load_without_searches()
    reporter = HookReporter()
    choice = PluginChoice() if len(sys.argv) < 3 else msgspec.json.decode(sys.argv[2], type=PluginChoice)
    joined = JoinedInstruments(choice.load().guarded_by(reporter))
    keep_what_is_loaded()

    def answer(question: Question, body: bytes, catalogues: tuple[CatalogueText, ...]) -> bytes:
        return answer_to(question, body, joined.of(catalogues))

    run(int(sys.argv[1]), answer, reporter)


if __name__ == "__main__":
    main()
