"""A program that answers as a process of the engine does: it does what the body says."""

import os
import sys
import time

from bagatelle.model.errors import NothingAllowedError
from bagatelle.toml_catalogue import CatalogueText
from bagatelle_service.engine_process import run
from bagatelle_service.engine_questions import Question
from bagatelle_service.hook_reports import HookReporter

REPORTER = HookReporter()


def answer(question: Question, body: bytes, catalogues: tuple[CatalogueText, ...]) -> bytes:
    del catalogues
    match body.split():
        case [b"sleep", seconds]:
            time.sleep(float(seconds))
        case [b"die"]:
            os._exit(1)
        case [b"refuse"]:
            raise NothingAllowedError
        case [b"break"]:
            raise ZeroDivisionError("by design")
        case [b"large"]:
            return b"x" * 3_000_000
    return question.encode() + b" " + str(os.getpid()).encode()


if __name__ == "__main__":
    run(int(sys.argv[1]), answer, REPORTER)
