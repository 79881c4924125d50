"""What a reader who did not build a plan says of it: the ten questions, each with yes or no and a sentence."""

import tomllib
from typing import Final

import msgspec

from tests.corpus.worked_routine import answers_path

QUESTIONS: Final = {
    "1": "Could you start within ten seconds, without deciding anything?",
    "2": "Is it short enough to be near certain?",
    "3": "Is the body ready for each step when it comes?",
    "4": "Is there music in it, where something is in hand or due?",
    "5": "Is what is coming up soon served?",
    "6": "Few enough things, each long enough to be worth it?",
    "7": "Nothing new or open-ended where something in hand was to be had?",
    "8": "Does each step say which, how, how much and finished when, in the trade's own words?",
    "9": "Is what was left out rightly left out?",
    "10": "Would you, as the teacher, hand it over unchanged?",
}


class Answer(msgspec.Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """To one question."""

    yes: bool
    because: str
    reply: str = ""
    """What a builder answers who sees it differently; both stay."""


class Answers(msgspec.Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """A file of answers: `reader`, then a table `[answers.1]` to `[answers.10]`."""

    reader: str
    answers: dict[str, Answer]


def answers_to(name: str) -> Answers | None:
    """The answers to one plan; None where nobody has read it yet.

    Raises
    ------
    tomllib.TOMLDecodeError
        The file is no TOML.
    msgspec.ValidationError
        It does not hold what a file of answers holds.
    """
    path = answers_path(name)
    if not path.exists():
        return None
    return msgspec.convert(tomllib.loads(path.read_text(encoding="utf-8")), Answers)
