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
