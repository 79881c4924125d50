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
    """A file of answers: `reader = "..."`, then `[answers.1]` to `[answers.10]`, each with `yes` and `because`."""

    reader: str
    answers: dict[str, Answer]

    @property
    def complete(self) -> bool:
        """Whether somebody named answers each question once, with a sentence."""
        said = all(answer.because.strip() for answer in self.answers.values())
        return bool(self.reader.strip()) and set(self.answers) == set(QUESTIONS) and said


def answers_to(name: str) -> Answers | None:
    """The answers to one plan; None where nobody has read it yet."""
    path = answers_path(name)
    return read_answers(path.read_text(encoding="utf-8")) if path.exists() else None


def read_answers(text: str) -> Answers:
    """Read a file of answers.

    Raises
    ------
    tomllib.TOMLDecodeError
        The text is no TOML.
    msgspec.ValidationError
        It does not hold what a file of answers holds.
    """
    return msgspec.convert(tomllib.loads(text), Answers)
