"""Why a task is left out, in words worked by hand."""

from bagatelle.model.plan import Plan

from tests.strategies import Sent, plan_of
from tests.unit.engine.numbers import own_task, request

DAY = "2027-03-01"


def reasons(plan: Plan, name: str) -> list[str]:
    return [reason.because for left in plan.left_out if left.task == name for reason in left.reasons]


def plan(*tasks: Sent, minutes: float = 10) -> Plan:
    never = own_task("never", 60, minutes=100, pin="never")
    return plan_of(request(*tasks, never, circumstances={"minutes": minutes}, date=DAY))


def test_what_is_due_and_left_out_names_its_day_and_what_goes_before() -> None:
    first = own_task("waltz", 240, due="2027-03-02", smallest_chunk_seconds=60)
    second = own_task("march", 240, due="2027-03-02", smallest_chunk_seconds=60)
    later = own_task("polka", 600, due="2027-03-07", divisibility="whole")
    date, *others, room = reasons(plan(first, second, later), "polka")
    assert date == "due in 6 days, and waits for next time, as today goes first to March and Waltz"
    assert others == ["what is kept is due sooner"]
    assert room == "the least of it, from where it goes on, takes 10½ minutes, and today holds 9 minutes"


def test_what_is_kept_besides_the_warm_up_is_said_to_be() -> None:
    warm_up = own_task("tuning", 60, area="warm-up", minutes=2, pin="always")
    pieces = [own_task(name, 100, smallest_chunk_seconds=60) for name in ("waltz", "march", "polka")]
    made = plan(warm_up, *pieces, minutes=14)
    left = next(one.task for one in made.left_out if one.task != "never")
    assert reasons(made, left)[-1] == "enough for today: two things besides the warm-up"


def test_what_several_windows_hold_is_not_taken_for_less() -> None:
    # One window of 47 minutes would hold 37½ beside rests; these two hold all 47, more than the usual 45.
    long = own_task("sonatina", 30, minutes=45, stage="new", pin="less")
    others = [own_task("waltz", 30, minutes=40), own_task("march", 30, minutes=9)]
    day: Sent = {"windows": [{"minutes": 8}, {"minutes": 50}], "focus": "low", "quiet": True}
    made = plan_of(request(long, *others, circumstances=day, instrument="piano"))
    room = reasons(made, "sonatina")[-1]
    assert room.startswith("it wants about half of its usual time, 18½ minutes"), room


def test_a_second_warm_up_is_told_of_the_first() -> None:
    warm_ups = [own_task(name, 60, area="warm-up", minutes=5) for name in ("first", "second")]
    pieces = [own_task(name, 240, smallest_chunk_seconds=60, minutes=30) for name in ("waltz", "march")]
    made = plan(*warm_ups, *pieces, minutes=14)
    assert reasons(made, "second")[-1] == "the warm-up today is First, and that is enough"


def test_what_does_not_fit_into_what_is_left_says_how_much_it_takes() -> None:
    made = plan(own_task("waltz", 300), own_task("march", 300, stage="learning"), minutes=7)
    assert reasons(made, "march")[-1] == (
        "the least of it that is worth doing takes 5½ minutes, with half a minute left to fill"
    )


def test_what_is_due_and_gets_less_of_the_day_does_not_go_first() -> None:
    short = own_task("waltz", 60, minutes=2, due="2027-03-07")
    undated = own_task("march", 300, pin="always")
    later = own_task("polka", 600, due="2027-03-07", divisibility="whole")
    date, *_ = reasons(plan(short, undated, later), "polka")
    assert date == "due in 6 days, and waits for next time: today has March and Waltz"


def test_a_floor_above_the_smallest_chunk_is_not_called_the_least_of_it() -> None:
    kept = own_task("waltz", 100, 100, 100, 100, 100, minutes=8)
    made = plan(kept, own_task("march", *[60] * 12, minutes=12, smallest_chunk_seconds=60, stage="learning"))
    assert reasons(made, "march")[-1].startswith("it wants about half of")


def test_strain_is_said_on_a_tired_day_rather_than_whose_turn_it_is() -> None:
    easy = own_task("waltz", 300, area="repertoire", minutes=10)
    hard = own_task("march", 300, area="repertoire", minutes=10, strain="moderate")
    history = [
        {"task": "waltz", "date": "2027-02-10", "seconds": 300},
        {"task": "march", "date": "2027-02-27", "seconds": 300},
    ]
    never = own_task("never", 60, minutes=100, pin="never")
    day = {"minutes": 7, "energy": "low"}
    made = plan_of(request(easy, hard, never, circumstances=day, date=DAY, history=history))
    first, *_ = [text for text in reasons(made, "march") if "lately" not in text]
    assert first == "hard on the body, and there is little energy today"


def test_done_as_lately_as_what_is_kept_is_said_for_how_often_it_comes_round() -> None:
    often = own_task("waltz", 300, cadence_days=1, minutes=10)
    seldom = own_task("march", 300, cadence_days=7, minutes=10)
    history = [{"task": name, "date": "2027-02-28", "seconds": 300} for name in ("waltz", "march")]
    never = own_task("never", 60, minutes=100, pin="never")
    made = plan_of(request(often, seldom, never, circumstances={"minutes": 7}, date=DAY, history=history))
    assert reasons(made, "march")[0] == "done lately enough to wait for the next turn"


def test_new_is_no_reason_where_new_things_are_kept() -> None:
    new = [own_task(name, 200, stage="new") for name in ("waltz", "march", "polka")]
    made = plan(*new)
    for left in made.left_out:
        assert "new: keep it for a longer day" not in reasons(made, left.task)


def test_without_a_set_up_nothing_is_said_of_getting_ready() -> None:
    """The march takes 95 seconds and 93 are left."""
    waltz = own_task("waltz", 240, set_up_seconds=0)
    march = own_task("march", 95, stage="learning", set_up_seconds=0, smallest_chunk_seconds=95)
    assert reasons(plan(waltz, march, minutes=6.15), "march")[-1] == (
        "the least of it that is worth doing takes 2 minutes, with 1½ minutes left to fill"
    )
