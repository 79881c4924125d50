"""What a catalogue task is called where its settings say in words what it is done with."""

from typing import Any

import pytest

from tests.strategies import plan_of
from tests.unit.engine.numbers import request

WORDS = "voice.words-from-memory"
SLOW_BARS = "voice.slow-bars"
SUNG_AND_TAPPED = "musicianship.sung-and-tapped"
SCALES = "voice.five-notes"


@pytest.mark.parametrize(
    ("exercise", "settings", "title"),
    [
        (WORDS, {}, "Words from memory"),
        (WORDS, {"song": "The ferryman's song"}, "Words from memory (The ferryman's song)"),
        (WORDS, {"song": "The ferryman's song", "passes": 1}, "Words from memory (The ferryman's song)"),
        (WORDS, {"song": "   "}, "Words from memory"),
        (SLOW_BARS, {"piece": "The mill"}, "The mill"),
        (SUNG_AND_TAPPED, {"piece": "The mill"}, "One line sung, one tapped (The mill)"),
        (SCALES, {"mode": "minor"}, "Five-note scales"),
    ],
)
def test_the_words_of_a_setting_tell_tasks_of_one_exercise_apart(
    exercise: str, settings: dict[str, Any], title: str
) -> None:
    task = {"id": "task", "exercise": exercise, "settings": settings, "minutes": 10}
    plan = plan_of(request(task, circumstances={"minutes": 5}))
    assert [numbers.title for numbers in plan.tasks] == [title]


def test_a_title_of_ones_own_stands_alone() -> None:
    task = {
        "id": "task",
        "title": "Second verse",
        "exercise": WORDS,
        "settings": {"song": "The ferryman's song"},
        "minutes": 10,
    }
    plan = plan_of(request(task, circumstances={"minutes": 5}))
    assert [numbers.title for numbers in plan.tasks] == ["Second verse"]
