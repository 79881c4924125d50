"""A reader who did not build the plans answers ten questions on each; what nobody has read yet is counted."""

from typing import Final

import pytest

from tests.corpus.answers import QUESTIONS, answers_to
from tests.corpus.worked_routine import names

NOT_READ_YET: Final = 50
READER: Final = "a reader who did not build it"


def test_the_plans_that_nobody_has_read_are_counted() -> None:
    unread = [name for name in names() if answers_to(name) is None]
    assert len(unread) == NOT_READ_YET, (
        f"{len(unread)} plans have no answers and NOT_READ_YET says {NOT_READ_YET}: {', '.join(unread)}"
    )


@pytest.mark.parametrize("name", names())
def test_a_read_plan_has_all_ten_answers(name: str) -> None:
    answers = answers_to(name)
    if answers is None:
        return  # counted above
    assert answers.reader == READER
    assert list(answers.answers) == list(QUESTIONS)
    assert all(answer.because.strip() for answer in answers.answers.values())
