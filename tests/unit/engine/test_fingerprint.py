"""The fingerprint changes with everything that is asked, and with nothing else."""

import re
from typing import Any

import pytest

from tests.strategies import Sent, plan_of
from tests.unit.engine.numbers import own_task, request

BASE: Sent = request(own_task("a", 60, 70), own_task("b", 60), date="2027-03-01")


def test_form() -> None:
    assert re.fullmatch(r"sha256:[0-9a-f]{64}", plan_of(BASE).fingerprint)


@pytest.mark.parametrize(
    "change",
    [
        {"date": "2027-03-02"},
        {"locale": "en-US"},
        {"circumstances": {"minutes": 9}},
        {"circumstances": {"energy": "low"}},
        {"policy": {"share": 0.3}},
        {"learner": {"level": "beginner"}},
        {"instrument": "piano"},
        {"history": [{"task": "a", "date": "2027-02-28", "units": ["p1"]}]},
        {"routine": {"blocks": [{"title": "Day", "tasks": [own_task("a", 60, 71), own_task("b", 60)]}]}},
    ],
)
def test_it_changes_with_what_is_asked(change: dict[str, Any]) -> None:
    assert plan_of(BASE | change).fingerprint != plan_of(BASE).fingerprint


def test_it_does_not_change_with_what_is_only_spelt_out() -> None:
    spelt = BASE | {"circumstances": {"energy": "usual"}, "history": [], "strict": False, "locale": "en-GB"}
    assert plan_of(spelt).fingerprint == plan_of(BASE).fingerprint


def test_the_order_of_blocks_counts() -> None:
    blocks = [{"title": "One", "tasks": [own_task("a", 60)]}, {"title": "Two", "tasks": [own_task("b", 60)]}]
    forwards, backwards = ({"routine": {"blocks": order}} for order in (blocks, blocks[::-1]))
    assert plan_of(forwards).fingerprint != plan_of(backwards).fingerprint
