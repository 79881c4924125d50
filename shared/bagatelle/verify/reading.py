"""Reads an answer from a file or from standard input."""

import sys
from pathlib import Path

import msgspec

from bagatelle.model.plan import CompressionAnswer

STANDARD_INPUT = "-"


class UnreadableAnswerError(ValueError):
    """The file cannot be read, or is no answer to a compression. Its text says which, and where."""


def read_answer(name: str) -> CompressionAnswer:
    """Read an answer from the file of that name; `-` is standard input.

    :raises UnreadableAnswerError: where there is no such file, or it is no answer to a compression.
    """
    try:
        content = sys.stdin.buffer.read() if name == STANDARD_INPUT else Path(name).read_bytes()
    except OSError as error:
        raise UnreadableAnswerError(f"{name}: {error.strerror or error}") from error
    try:
        return msgspec.json.decode(content, type=CompressionAnswer)
    except msgspec.MsgspecError as error:
        raise UnreadableAnswerError(
            f"{name}: {error}. Accepted is the JSON answer of a compression, with its plan under `plan`."
        ) from error
