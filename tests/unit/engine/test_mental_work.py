"""Sharing out the work in the head, by examples that are worked by hand."""

import pytest
from bagatelle.model.plan import Plan
from bagatelle.page import page_of
from bagatelle.policy.table import Policy

from tests.strategies import Sent, plan_of
from tests.unit.engine.numbers import own_task, request

TRAIN: Sent = {"instrument_at_hand": False, "minutes": 20}


def reason_of(plan: Plan, task: str) -> str:
    (left_out,) = [one for one in plan.left_out if one.task == task]
    return left_out.reasons[0].because


def codes(plan: Plan) -> set[str]:
    return {notice.code for notice in plan.warnings}


def test_the_texts_say_how_much_the_policy_holds() -> None:
    assert Policy().mental_seconds == 20 * 60  # "20 minutes" stands in a reason


def test_scales_and_long_tones_are_left_to_a_day_with_the_instrument() -> None:
    plan = plan_of(
        request(
            own_task("scales", 60, area="technique"),
            own_task("tones", 60, area="tone"),
            own_task("waltz", 60),
            circumstances=TRAIN,
        )
    )
    assert [step.task for step in plan.steps] == ["waltz"]
    for task in ("scales", "tones"):
        assert reason_of(plan, task) == "a matter of touch and sound, and of little use in the head"


def test_scales_stay_where_there_is_nothing_else_or_they_are_pinned() -> None:
    scales = own_task("scales", 60, area="technique")
    assert [step.task for step in plan_of(request(scales, circumstances=TRAIN)).steps] == ["scales"]
    pinned = plan_of(request(scales | {"pin": "always"}, own_task("waltz", 60), circumstances=TRAIN))
    assert {step.task for step in pinned.steps} == {"scales", "waltz"}


def test_what_is_due_sooner_gets_all_that_it_wants() -> None:
    # Two times through 8 minutes are 16 of the 20; the four that are left are two times through the fugue.
    fields: Sent = {"set_up_seconds": 0, "minutes": 30}
    plan = plan_of(
        request(
            own_task("ballad", 480, due="2027-03-04", **fields),
            own_task("fugue", 120, **fields),
            own_task("march", 120, **fields),
            own_task("toccata", 1260, **fields),
            date="2027-03-01",
            circumstances=TRAIN | {"minutes": 60},
        )
    )
    allowed = {task.task: task.largest_seconds for task in plan.tasks if task.available}
    assert allowed == {"ballad": 960, "fugue": 240}
    assert reason_of(plan, "march") == "of what can be done in the head today, others come first"
    assert reason_of(plan, "toccata").startswith("going through its next piece once takes longer than the 20")


def test_a_step_says_which_and_how_often_and_ends_with_that() -> None:
    passages = [
        {"id": "a", "label": "bars 1-8", "bars": 8, "bpm": 60, "passes": 2},
        {"id": "b", "label": "bars 9-16", "bars": 8, "bpm": 96, "passes": 2},
    ]
    (step,) = plan_of(request(own_task("waltz") | {"passages": passages}, circumstances=TRAIN)).steps
    assert step.what == "Waltz, in the head: bars 1-8 and bars 9-16"
    assert step.how_much == "each twice through"
    assert step.done_when == (
        "you have been through it; where there was a gap, mark the place and leave it for next time"
    )
    assert [detail.text for detail in step.details] == ["60 beats a minute", "96 beats a minute"]
    assert step.seconds == 2 * (32 + 20)  # 8 bars of 4 beats at 60 and at 96 a minute


def test_what_is_not_in_hand_has_the_page_open() -> None:
    hows = [
        plan_of(request(own_task("quartet", 60, stage=stage), circumstances=TRAIN)).steps[0].how
        for stage in ("new", "refining")
    ]
    assert ["the music open before you" in how for how in hows] == [True, False]


@pytest.mark.parametrize(
    ("instrument", "day", "along"),
    [
        ("trumpet", {}, "humming, singing or fingering along as you like"),
        ("drum kit", {}, "humming, singing or tapping along as you like"),
        ("voice", {}, "without a sound, a hand going along with the line if you like"),
        ("voice", {"quiet": True}, "without a sound, a hand going along with the line if you like"),
        ("viola", {"quiet": True}, "without a sound, the fingers going along if you like"),
        ("voice", {"focus": "low"}, "without a sound, a hand going along with the line all the way"),
        ("viola", {"sore": ["hands"]}, "humming or singing along as you like"),
    ],
)
def test_what_goes_along_is_what_the_instrument_has(instrument: str, day: Sent, along: str) -> None:
    plan = plan_of(request(own_task("aria", 60), instrument=instrument, circumstances=TRAIN | day))
    assert plan.steps[0].how.partition(": ")[0] == along


@pytest.mark.parametrize(
    ("bpm", "beats", "how", "detail"),
    [
        (120, 4, "the beat tapped on the knee", "120 beats a minute"),
        (138, 4, "one tap on the knee a bar", "138 beats a minute, 34 bars a minute"),
        (138, 2, "at the tempo given for it", "138 beats a minute"),
        (130, 7, "at the tempo given for it", "130 beats a minute"),
    ],
)
def test_one_tap_a_bar_comes_with_its_number(bpm: int, beats: int, how: str, detail: str) -> None:
    passage = {"id": "p", "label": "the storm", "bars": 16, "bpm": bpm, "beats_per_bar": beats}
    opera = own_task("opera") | {"passages": [passage]}
    (step,) = plan_of(request(opera, circumstances=TRAIN)).steps
    assert how in step.how
    assert [each.text for each in step.details] == [detail]


def test_one_tap_a_bar_says_the_note_that_gets_the_beat() -> None:
    passage = {"id": "p", "label": "the storm", "bars": 16, "bpm": 138, "beat": "minim"}
    (step,) = plan_of(request(own_task("opera") | {"passages": [passage]}, circumstances=TRAIN)).steps
    assert [each.text for each in step.details] == ["minim = 138, 34 bars a minute"]


def test_a_sore_hand_taps_nothing() -> None:
    waltz = own_task("waltz", 60)
    waltz["passages"] = [
        {"id": "p0", "label": "line 1", "bars": 16, "beats_per_bar": 3, "bpm": 60, "passes": 1}
    ]
    quiet, sore = (
        plan_of(request(waltz, circumstances=day)).steps[0].how
        for day in (TRAIN | {"quiet": True}, {"soreness": True})
    )
    assert "tapped on the knee" in quiet
    assert "tapped" not in sore
    both = plan_of(request(waltz, circumstances={"soreness": True, "quiet": True})).steps[0].how
    assert sore.endswith("the beat from a metronome")
    assert both.endswith("the beat from a metronome, on earphones")


def test_what_has_no_tempo_asks_for_no_beat() -> None:
    how = plan_of(request(own_task("waltz", 60), circumstances=TRAIN)).steps[0].how
    assert "in your own time" in how
    assert "beat" not in how


def test_a_day_that_the_head_ends_early_says_so() -> None:
    waltz = own_task("waltz", 60)
    away = {"instrument_at_hand": False}
    assert "enough-in-the-head" in codes(plan_of(request(waltz, circumstances=away)))
    assert "enough-in-the-head" not in codes(plan_of(request(waltz)))
    full = own_task("waltz", 150, set_up_seconds=0)
    assert "enough-in-the-head" not in codes(plan_of(request(full, circumstances=away)))


def test_it_is_not_said_where_more_of_the_kind_is_left_out_for_the_count() -> None:
    three = [own_task(name, 120, set_up_seconds=0) for name in ("waltz", "polka", "march")]
    plan = plan_of(request(*three, circumstances=TRAIN | {"minutes": 9}))
    assert len(plan.left_out) == 1
    assert "enough-in-the-head" not in codes(plan)


def test_a_soft_form_that_rests_the_body_counts_too() -> None:
    octaves = {"id": "octaves", "exercise": "piano.octaves", "minutes": 40}
    due = own_task("waltz", 480, due="2027-03-04", minutes=40, set_up_seconds=0)
    plan = plan_of(
        request(octaves, due, date="2027-03-01", instrument="piano", circumstances={"soreness": True})
    )
    assert all(task.available for task in plan.tasks)
    assert sum(task.largest_seconds for task in plan.tasks) <= 20 * 60


def test_what_strains_most_is_left_alone_while_something_is_sore() -> None:
    plan = plan_of(
        request(
            own_task("octaves", 60, area="repertoire", strain="high"),
            own_task("waltz", 60),
            circumstances={"soreness": True},
        )
    )
    assert reason_of(plan, "octaves").startswith("the most strain")
    alone = plan_of(request(own_task("octaves", 60, strain="high"), circumstances={"soreness": True}))
    assert [step.task for step in alone.steps] == ["octaves"]


def test_what_is_due_is_kept_though_it_strains_most() -> None:
    due = own_task("octaves", 60, strain="high", due="2027-03-04")
    plan = plan_of(
        request(
            due, own_task("waltz", 60), date="2027-03-01", circumstances={"soreness": True, "minutes": 10}
        )
    )
    assert "octaves" in {step.task for step in plan.steps}


def test_no_warm_up_on_the_knees_where_all_the_rest_is_in_the_head() -> None:
    warm_up = {"id": "warm-up", "exercise": "piano.warm-up", "minutes": 5}
    plan = plan_of(request(warm_up, own_task("waltz", 60), instrument="piano", circumstances=TRAIN))
    assert reason_of(plan, "warm-up").startswith("nothing today needs a warm-up")
    scale = {"id": "scale", "exercise": "piano.major-scale", "minutes": 20}
    plan = plan_of(request(warm_up, scale, own_task("waltz", 60), instrument="piano", circumstances=TRAIN))
    assert next(task.available for task in plan.tasks if task.task == "warm-up")


def test_with_little_focus_two_minutes_of_a_thing_in_the_head_are_enough() -> None:
    day = TRAIN | {"focus": "low", "minutes": 10}
    (step,) = plan_of(request(own_task("waltz", 50, smallest_chunk_seconds=50), circumstances=day)).steps
    assert step.seconds == 100
    assert "the fingers going along" in step.how
    assert "the music open before you" in step.how


def test_with_little_focus_hands_go_before_thought() -> None:
    scale = {"id": "scale", "exercise": "piano.major-scale", "minutes": 20}
    theory = own_task("theory", 60, area="theory")
    day = TRAIN | {"focus": "low"}
    plan = plan_of(request(scale, theory, instrument="piano", circumstances=day))
    assert reason_of(plan, "theory").startswith("it would be done in the head, and with little focus")


def test_while_something_is_sore_drills_are_left_alone_and_nobody_is_told_to_go_on() -> None:
    sent = request(own_task("scales", 60, area="technique"), own_task("waltz", 60))
    sore = plan_of(sent | {"circumstances": {"sore": ["hands"]}})
    assert reason_of(sore, "scales") == "a matter of touch and sound: left alone while something is sore"
    assert sore.sore
    assert "more is welcome" not in page_of(sore)
    assert "more is welcome, not owed" in page_of(plan_of(sent))
