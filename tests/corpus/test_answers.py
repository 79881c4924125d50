"""A reader who did not build the plans answers ten questions on each; what nobody has read yet is counted."""

from typing import Final

import msgspec
import pytest

from tests.corpus.answers import QUESTIONS, answers_to, read_answers
from tests.corpus.worked_routine import names

NOT_READ_YET: Final = 0
ANSWERED = 'reader = "a reader who did not build it"\n' + "".join(
    f'[answers.{question}]\nyes = true\nbecause = "It is so."\n' for question in QUESTIONS
)


def test_the_plans_that_nobody_has_read_are_counted() -> None:
    unread = [name for name in names() if answers_to(name) is None]
    assert len(unread) == NOT_READ_YET, (
        f"{len(unread)} plans have no answers and NOT_READ_YET says {NOT_READ_YET}: {', '.join(unread)}"
    )


def test_a_plan_that_was_read_has_all_ten_answers() -> None:
    read = {name: answers for name in names() if (answers := answers_to(name)) is not None}
    assert [name for name, answers in read.items() if not answers.complete] == []
    assert len(read) == len(names()) - NOT_READ_YET


def test_ten_answers_are_complete() -> None:
    assert read_answers(ANSWERED).complete


@pytest.mark.parametrize(
    ("whole", "part"),
    [
        ("[answers.10]", "[answers.11]"),
        ('because = "It is so."', 'because = " "'),
        ("a reader who did not build it", ""),
    ],
    ids=["another question", "no sentence", "no reader"],
)
def test_anything_less_is_not(whole: str, part: str) -> None:
    assert not read_answers(ANSWERED.replace(whole, part, 1)).complete


def test_an_answer_is_yes_or_no() -> None:
    with pytest.raises(msgspec.ValidationError, match="bool"):
        read_answers(ANSWERED.replace("yes = true", 'yes = "mostly"', 1))
