"""What is left of the pieces that are kept."""

import pytest

from tests.strategies import plan_of
from tests.unit.engine.numbers import own_task, request


def test_the_passages_of_a_piece_that_have_no_step_are_named() -> None:
    march = own_task("march", 200, 200, 200, 200, 200, minutes=20)
    plan = plan_of(request(march, own_task("other", 60, pin="never"), circumstances={"minutes": 5}))
    (parts,) = plan.parts_left
    played = [unit for step in plan.steps for unit in step.units]
    assert parts.task == "march"
    assert sorted([*parts.units, *set(played)]) == ["p1", "p2", "p3", "p4", "p5"]
    assert parts.message == "March, line 2 to line 5: kept for next time"


def test_more_than_four_are_counted() -> None:
    tasks = own_task("suite", *([200] * 12), minutes=60)
    for number, passage in enumerate(tasks["passages"]):
        passage["label"] = f"movement {number * 2}"
    plan = plan_of(request(tasks, circumstances={"minutes": 5}))
    (parts,) = plan.parts_left
    assert parts.message.endswith("8 others: kept for next time"), parts.message


def test_the_keys_of_a_scale_that_have_no_step_are_named() -> None:
    scales = own_task("scales", 200, 200, 200, area="technique", minutes=20)
    plan = plan_of(request(scales, circumstances={"minutes": 5}))
    assert [parts.message for parts in plan.parts_left] == ["Scales, line 2 and line 3: kept for next time"]


@pytest.mark.parametrize("area", ["warm-down", "sight-reading"])
def test_nothing_is_said_of_what_is_taken_afresh_each_day(area: str) -> None:
    plan = plan_of(
        request(own_task("fresh", *([60] * 8), area=area, minutes=20), circumstances={"minutes": 5})
    )
    played = {unit for step in plan.steps for unit in step.units}
    assert 0 < len(played) < 8
    assert plan.parts_left == ()


def test_nothing_is_said_of_what_is_played_whole() -> None:
    scales = own_task("scales", 60, 60, area="technique", minutes=20)
    waltz = own_task("waltz", 60, 60, minutes=20)
    plan = plan_of(request(scales, waltz, circumstances={"minutes": 19}))
    assert {step.task for step in plan.steps} == {"scales", "waltz"}
    assert plan.parts_left == ()
