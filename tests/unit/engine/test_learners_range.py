"""What a learner wants to use of the instrument's range: held by every exercise that tells its own, or refused."""

import json
from collections.abc import Mapping
from typing import Any

import pytest
from bagatelle import compress, decode_request
from bagatelle.model.errors import InvalidInputError
from bagatelle.model.plan import CompressionAnswer

from tests.strategies import instruments


def planned(exercise: str, limits: Mapping[str, str], **settings: Any) -> CompressionAnswer:
    task = {"exercise": exercise, "settings": settings, "minutes": 10}
    request = {
        "instrument": "piano",
        "learner": {"limits": limits},
        "routine": {"blocks": [{"id": "day", "title": "Day", "tasks": [task]}]},
    }
    return compress(decode_request(json.dumps(request).encode()), instruments())


@pytest.mark.parametrize(("lowest", "highest"), [("C6", "C2"), ("C#4", "C4"), ("B#4", "Cb5")])
def test_a_lowest_above_the_highest_is_a_contradiction(lowest: str, highest: str) -> None:
    """B sharp 4 sounds as C5, and C flat 5 as B4."""
    with pytest.raises(InvalidInputError) as refused:
        planned("piano.major-scale", {"lowest_pitch": lowest, "highest_pitch": highest})
    (wrong,) = refused.value.errors
    assert wrong.pointer == "/learner/limits/highest_pitch"
    assert highest in wrong.message
    assert wrong.accepted == f"A pitch from {lowest} up, or a lower lowest_pitch."


@pytest.mark.parametrize(("lowest", "highest"), [("G4", "G4"), ("B#3", "C4"), ("E4", "Fb4")])
def test_one_key_alone_is_none(lowest: str, highest: str) -> None:
    planned("piano.sight-reading", {"lowest_pitch": lowest, "highest_pitch": highest})


SMALL, MIDDLING = ("C2", "C6"), ("C2", "C7")
"""Keyboards of 49 and 61 keys."""
OFFERS = [
    ("piano.major-scale", SMALL, {"keys": ["C"], "octaves": 4}, ("octaves", 3)),
    ("piano.major-scale", SMALL, {"octaves": 4}, ("octaves", 1)),
    ("piano.major-scale", SMALL, {}, ("right_hand_octave", 3)),
    ("piano.minor-scale", SMALL, {"keys": ["A"]}, ("right_hand_octave", 3)),
    ("piano.minor-scale", MIDDLING, {"octaves": 4}, ("octaves", 3)),
    ("piano.arpeggio", MIDDLING, {"octaves": 4}, ("octaves", 3)),
    ("piano.arpeggio", SMALL, {"octaves": 4, "hands": "left"}, ("octaves", 3)),
    ("piano.chromatic-scale", MIDDLING, {"octaves": 4}, ("octaves", 3)),
    ("piano.contrary-motion-scale", SMALL, {"octaves": 2}, ("keys", ["C"])),
    ("piano.broken-chord", SMALL, {}, ("right_hand_octave", 3)),
    ("piano.octaves", MIDDLING, {"octaves": 2}, ("right_hand_octave", 3)),
]
"""What is refused on a keyboard, and the one setting to change."""


@pytest.mark.parametrize(("exercise", "ends", "settings", "change"), OFFERS)
def test_small_keyboards_are_offered_what_they_have(
    exercise: str, ends: tuple[str, str], settings: dict[str, Any], change: tuple[str, Any]
) -> None:
    limits = dict(zip(("lowest_pitch", "highest_pitch"), ends, strict=True))
    with pytest.raises(InvalidInputError) as refused:
        planned(exercise, limits, **settings)
    (wrong,) = refused.value.errors
    name, value = change
    shown = ", ".join(value) if isinstance(value, list) else value
    assert wrong.pointer == "/routine/blocks/0/tasks/0/settings"
    assert wrong.accepted == f"the nearest that fits: {name} {shown}"
    assert planned(exercise, limits, **(settings | {name: value})).plan.steps


CORE = (
    *("major-scale", "minor-scale", "arpeggio", "broken-chord", "chromatic-scale", "contrary-motion-scale"),
    *("octaves", "double-thirds", "five-finger", "trill", "repeated-notes", "warm-up"),
)


@pytest.mark.parametrize("exercise", CORE)
def test_nothing_at_middle_c_is_below_it(exercise: str) -> None:
    with pytest.raises(InvalidInputError, match="above C2"):
        planned(f"piano.{exercise}", {"highest_pitch": "C2"})


@pytest.mark.parametrize("exercise", CORE)
def test_a_whole_piano_holds_the_usual(exercise: str) -> None:
    assert planned(f"piano.{exercise}", {"lowest_pitch": "A0", "highest_pitch": "C8"}).plan.steps


@pytest.mark.parametrize(("lowest", "stands_in"), [("C3", True), ("C4", False)])
def test_no_warm_up_stands_in_that_leaves_the_range(lowest: str, stands_in: bool) -> None:
    """The piano's begins on the C below middle C in the left hand."""
    strained = {"hands": "right", "right_hand_octave": 5, "keys": ["C"]}
    plan = planned("piano.octaves", {"lowest_pitch": lowest}, **strained).plan
    assert any(task.stand_in for task in plan.tasks) == stands_in
    assert plan.steps
