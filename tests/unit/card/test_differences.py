"""What is said of a newer card before it is taken."""

from typing import Any

import pytest
from bagatelle import Card, prepare
from bagatelle.card.differences import differences_of

from tests.strategies import instruments, request_of


def card_of(tasks: list[dict[str, Any]]) -> Card:
    sent = {"instrument": "piano", "routine": {"blocks": [{"title": "Evening", "tasks": tasks}]}}
    return prepare(request_of(sent), instruments(), "usual")


SCALES = {"id": "scales", "exercise": "piano.major-scale", "settings": {"keys": ["C", "G"]}, "minutes": 8}
WALTZ = {
    "id": "waltz",
    "title": "Waltz",
    "stage": "learning",
    "minutes": 12,
    "done_when": "no stop on the way",
}


def said(before: list[dict[str, Any]], after: list[dict[str, Any]]) -> set[tuple[str, str | None]]:
    return {(each.what, each.task) for each in differences_of(card_of(before), card_of(after))}


def test_between_equal_cards_there_is_none() -> None:
    assert differences_of(card_of([SCALES, WALTZ]), card_of([SCALES, WALTZ])) == ()


def test_each_change_of_a_routine_is_named() -> None:
    keys = SCALES | {"settings": {"keys": ["C", "G", "D"]}}
    assert ("units", "scales") in said([SCALES, WALTZ], [keys, WALTZ])
    assert ("stage", "waltz") in said([SCALES, WALTZ], [SCALES, WALTZ | {"stage": "refining"}])
    assert ("words", "waltz") in said([SCALES, WALTZ], [SCALES, WALTZ | {"done_when": "by heart"}])
    assert ("title", "waltz") in said([SCALES, WALTZ], [SCALES, WALTZ | {"title": "Slow waltz"}])
    assert said([SCALES, WALTZ], [SCALES, WALTZ | {"minutes": 16}]) >= {
        ("seconds", "waltz"),
        ("seconds", None),
    }


def test_a_task_that_comes_or_goes_is_named_with_what_it_does_to_the_quarter() -> None:
    differences = differences_of(card_of([SCALES]), card_of([WALTZ]))
    assert {(each.what, each.before, each.after) for each in differences} >= {
        ("task-gone", "Major scales", ""),
        ("task-added", "", "Waltz"),
    }
    assert {each.task for each in differences if each.what == "quarter"} == {"scales", "waltz"}


def test_cards_of_two_kinds_are_not_compared() -> None:
    sent = {"instrument": "piano", "routine": {"blocks": [{"title": "Evening", "tasks": [SCALES]}]}}
    quiet = prepare(request_of(sent), instruments(), "quiet")
    with pytest.raises(ValueError, match="is not compared"):
        differences_of(card_of([SCALES]), quiet)
