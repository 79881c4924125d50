"""What a learner of some level is told, and what is known of a stage that nobody gave."""

import pytest
from bagatelle.model.plan import Plan

from tests.strategies import Sent, plan_of
from tests.unit.engine.numbers import own_task, request

SCALES: Sent = {"id": "scales", "exercise": "trumpet.two-octave-scales", "minutes": 12, "pin": "always"}


def details(level: str | None) -> list[str]:
    sent = request(SCALES, instrument="trumpet", circumstances={"minutes": 6})
    if level is not None:
        sent["learner"] = {"level": level}
    (step,) = (step for step in plan_of(sent).steps if step.task == "scales")
    return [detail.text for detail in step.details]


@pytest.mark.parametrize("level", [None, "beginner", "elementary", "intermediate"])
def test_key_signatures_are_for_those_who_learn_them(level: str | None) -> None:
    assert details(level)
    assert all("sharp" in each or "flat" in each for each in details(level))


@pytest.mark.parametrize("level", ["advanced", "professional"])
def test_nobody_else_is_told(level: str) -> None:
    assert details(level) == []


def test_the_note_that_gets_the_beat_is_said_where_it_is_known() -> None:
    march = own_task("march", minutes=10)
    march["passages"] = [
        {
            "id": "a",
            "label": "the march",
            "bars": 32,
            "beats_per_bar": 2,
            "bpm": 84,
            "beat": "minim",
            "passes": 1,
        },
        {"id": "b", "label": "the trio", "bars": 32, "beats_per_bar": 2, "bpm": 84, "passes": 1},
    ]
    sent = request(march, own_task("never", 60, minutes=20, pin="never"), circumstances={"minutes": 5})
    said = {detail.text for step in plan_of(sent).steps for detail in step.details}
    assert said == {"minim = 84", "84 beats a minute"}
    american = {detail.text for step in plan_of(sent | {"locale": "en-US"}).steps for detail in step.details}
    assert "half note = 84" in american


def why(plan: Plan, task: str) -> list[str]:
    (left,) = (one for one in plan.left_out if one.task == task)
    return [reason.because for reason in left.reasons if reason.factor == "stage"]


@pytest.mark.parametrize(
    ("fields", "because"),
    [
        ({"stage": "learning"}, "still being learned, which wants more room than a short day has"),
        ({}, "taken as still being learned, as the routine gives no stage"),
    ],
)
def test_a_stage_that_nobody_gave_is_said_to_be_taken(fields: Sent, because: str) -> None:
    drags: Sent = {"id": "drags", "exercise": "snare-drum.drags", "minutes": 8} | fields
    waltz, galop = own_task("waltz", 240, minutes=8), own_task("galop", 240, minutes=8)
    plan = plan_of(request(drags, waltz, galop, instrument="snare-drum", circumstances={"minutes": 10}))
    assert why(plan, "drags") == [because]


def test_a_stage_that_nobody_gave_is_no_first_reason() -> None:
    """No player is told before all else what they are supposed not to know yet."""
    drags: Sent = {"id": "drags", "exercise": "snare-drum.drags", "minutes": 8}
    waltz, galop = own_task("waltz", 240, minutes=8), own_task("galop", 240, minutes=8)
    plan = plan_of(request(drags, waltz, galop, instrument="snare-drum", circumstances={"minutes": 10}))
    (left,) = (one for one in plan.left_out if one.task == "drags")
    assert [reason.factor for reason in left.reasons][-1] == "stage"
    assert left.reasons[0].factor != "stage"


def test_scraps_hold_a_thing_for_each_five_minutes_where_the_request_does_not_say() -> None:
    tasks = [own_task(f"tune-{number}", 60, minutes=20) for number in range(6)]
    windows = [{"minutes": 10}, {"minutes": 11}, {"minutes": 10}]
    in_scraps = plan_of(request(*tasks, circumstances={"windows": windows}))
    in_one = plan_of(request(*tasks, circumstances={"minutes": 31}))
    given = plan_of(request(*tasks, circumstances={"windows": windows}, policy={"seconds_per_task": 900}))
    limits = [
        next(rule.limit for rule in plan.rules if rule.rule == "task-count")
        for plan in (in_scraps, in_one, given)
    ]
    assert limits == [6, 5, 2]
