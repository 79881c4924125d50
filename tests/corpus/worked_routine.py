"""A worked routine as it lies in its file, and the plan that the engine makes of it."""

from functools import cache
from pathlib import Path

import msgspec
from bagatelle import (
    CompressionAnswer,
    CompressionRequest,
    Instruments,
    compress,
    decode_request,
    load_instruments,
)
from bagatelle.page import page_of

FOLDER = Path(__file__).with_name("routines")


class Student(msgspec.Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """Who practises; nobody real."""

    name: str
    age_years: int
    instrument: str
    about: str


class _RoutineFile(msgspec.Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    student: Student
    day: str
    """What kind of day it is, in the words of the student or the teacher."""
    request: msgspec.Raw


class WorkedRoutine(msgspec.Struct, frozen=True, kw_only=True):
    """A routine file, read."""

    name: str
    student: Student
    day: str
    body: bytes
    """The request as it stands in the file."""
    request: CompressionRequest


def names() -> list[str]:
    """The routines in alphabetical order."""
    return sorted(path.stem for path in FOLDER.glob("*.json"))


@cache
def routine(name: str) -> WorkedRoutine:
    """Read one file; its request is decoded as strictly as that of any caller.

    Raises
    ------
    msgspec.MsgspecError
        The file is malformed.
    BagatelleError
        Its request is.
    """
    read = msgspec.json.decode((FOLDER / f"{name}.json").read_bytes(), type=_RoutineFile)
    body = bytes(read.request)
    return WorkedRoutine(
        name=name, student=read.student, day=read.day, body=body, request=decode_request(body)
    )


@cache
def answer_of(name: str) -> CompressionAnswer:
    """What the engine answers; raises what `compress` raises."""
    return compress(routine(name).request, _instruments())


def text_of(name: str) -> str:
    """The plan as `bagatelle plan` prints it."""
    return page_of(answer_of(name).plan) + "\n"


def text_path(name: str) -> Path:
    """Where the text of a plan is kept."""
    return FOLDER / f"{name}.txt"


def answers_path(name: str) -> Path:
    """Where a reader's answers to the ten questions are kept, once there are any."""
    return FOLDER / f"{name}.answers.toml"


@cache
def _instruments() -> Instruments:
    return load_instruments()
