"""What is said of the ears: every loud step of a day that is much for them, and nobody sings with ear plugs in."""

from bagatelle.model.plan import Plan

from tests.strategies import Sent, plan_of
from tests.unit.engine.numbers import own_task, request

AUDIOLOGIST = "with ringing or muffled ears once they are out, stop and ask an audiologist."


def plan_with(*tasks: Sent, instrument: str, minutes: int) -> Plan:
    return plan_of(request(*tasks, instrument=instrument, circumstances={"minutes": minutes}))


def of_the_ears(plan: Plan) -> list[str]:
    return [caution for caution in plan.cautions if "audiologist" in caution]


def test_little_that_is_loud_is_named() -> None:
    fanfare = own_task("fanfare", 30, loudness="loud", minutes=12)
    plan = plan_with(fanfare, own_task("never", 60, pin="never"), instrument="horn", minutes=3)
    assert of_the_ears(plan) == [f"Musicians' ear plugs in for step 1; {AUDIOLOGIST}"]


def test_where_the_day_is_much_every_loud_step_is_named_though_one_says_it_itself() -> None:
    calls: Sent = {"id": "calls", "exercise": "trumpet.orchestral-calls", "minutes": 40}
    march = own_task("march", 300, loudness="loud", minutes=90, strain="moderate")
    plan = plan_with(calls, march, instrument="trumpet", minutes=60)
    loud = [number for number, step in enumerate(plan.steps, start=1) if step.task in {"calls", "march"}]
    assert len(loud) == 2
    (said,) = of_the_ears(plan)
    assert said.startswith(
        f"Musicians' ear plugs in for steps {loud[0]} and {loud[1]} (without any, play them softer or less often): "
        "else the day may be more"
    )


def test_what_the_day_says_of_the_ears_no_step_says_again() -> None:
    calls: Sent = {"id": "calls", "exercise": "trumpet.orchestral-calls", "minutes": 40}
    march = own_task("march", 300, loudness="loud", minutes=40, strain="moderate")
    much = plan_with(calls, march, instrument="trumpet", minutes=60)
    assert not [caution for step in much.steps for caution in step.cautions if "audiologist" in caution]


def test_where_the_day_says_nothing_the_step_does() -> None:
    calls: Sent = {"id": "calls", "exercise": "trumpet.orchestral-calls", "minutes": 40}
    little = plan_with(calls, own_task("never", 60, pin="never"), instrument="trumpet", minutes=5)
    assert of_the_ears(little) == []
    assert [step.task for step in little.steps if any(AUDIOLOGIST in each for each in step.cautions)] == [
        "calls"
    ]


def test_nobody_sings_with_ear_plugs_in() -> None:
    aria = own_task("aria", 300, loudness="loud", minutes=120)
    plan = plan_with(aria, own_task("never", 60, pin="never"), instrument="voice", minutes=50)
    (said,) = of_the_ears(plan)
    assert said.startswith("So much loud singing may be more than ears should take in a day")
    assert "plugs" not in said
    fanfare = own_task("high", 30, loudness="loud", minutes=12)
    few = plan_with(fanfare, own_task("never", 60, pin="never"), instrument="voice", minutes=3)
    assert of_the_ears(few) == []


def test_rests_are_no_sound() -> None:
    """Eight bars of four at 120 are sixteen seconds; the rest that belongs to them is quiet."""
    passage = {"id": "p", "label": "fanfare", "bars": 8, "bpm": 120, "passes": 2, "pause_seconds": 60}
    fanfare = own_task("fanfare", loudness="loud", minutes=12) | {"passages": [passage], "manner": "open"}
    plan = plan_with(fanfare, own_task("never", 60, pin="never"), instrument="horn", minutes=4)
    rounds = sum(len(step.units) for step in plan.steps if step.task == "fanfare")
    assert plan.sound is not None
    assert rounds >= 1
    assert plan.sound.loud_seconds == 32 * rounds
