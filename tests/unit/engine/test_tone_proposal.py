"""What is proposed for tone work fits the breath or the bow of the instrument."""

import pytest

from tests.strategies import plan_of
from tests.unit.engine.numbers import request


@pytest.mark.parametrize(
    ("instrument", "how"),
    [
        ("flute", "one breath each, from soft to full and back"),
        ("viola", "one bow each, from soft to full and back"),
        ("harp", "each from soft to full and back"),
        (None, "each from soft to full and back"),
    ],
)
def test_a_breath_or_a_bow(instrument: str | None, how: str) -> None:
    plan = plan_of(request({"title": "Long tones", "minutes": 20}, instrument=instrument))
    assert plan.steps[0].how == how
