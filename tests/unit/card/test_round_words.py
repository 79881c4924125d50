"""What comes several times over is said in one number, so that nobody multiplies."""

from typing import Any

import pytest
from bagatelle import prepare
from bagatelle.card.round_words import most_rounds

from tests.strategies import instruments, request_of


def how_much(task: dict[str, Any]) -> tuple[str, ...]:
    sent = {"instrument": "piano", "routine": {"blocks": [{"title": "Evening", "tasks": [task]}]}}
    card = prepare(request_of(sent), instruments(), "usual")
    return next(each for each in card.tasks if each.id == task["id"]).units[0].how_much


def own(**passage: Any) -> dict[str, Any]:
    passages = [{"id": "a", "label": "the coda", **passage}]
    return {"id": "coda", "title": "Coda", "minutes": 20, "done_when": "no stop", "passages": passages}


def test_passes_of_a_learners_own_are_those_of_all_rounds() -> None:
    said = how_much(own(bars=8, bpm=60, passes=3))
    assert said[:3] == (
        "three times through at most",
        "six times through at most",
        "nine times through at most",
    )


def test_a_stretch_of_time_is_all_of_it() -> None:
    said = how_much(own(seconds=60, passes=1) | {"area": "technique"})
    assert said[:3] == ("1 minute at most", "2 minutes at most", "3 minutes at most")


def test_passes_of_an_exercise_are_those_of_all_rounds() -> None:
    settings = {"keys": ["C", "G"], "passes": 2}
    said = how_much({"id": "s", "exercise": "piano.major-scale", "settings": settings, "minutes": 10})
    assert said[:3] == (
        "two passes, a breath between",
        "four passes, a breath between",
        "six passes, a breath between",
    )


def test_what_no_number_of_passes_tells_comes_again() -> None:
    said = how_much({"id": "w", "exercise": "piano.warm-up", "minutes": 10})
    assert said[:3] == (
        "one minute",
        "one minute, then the same again",
        "one minute; all of that three times",
    )


@pytest.mark.parametrize(("largest", "rounds"), [(0, 1), (1, 1), (90, 1), (91, 2), (180, 2), (181, 3)])
def test_a_unit_comes_no_more_often_than_the_day_has_time_for(largest: int, rounds: int) -> None:
    assert most_rounds({"a": 30, "b": 60}, largest) == rounds
