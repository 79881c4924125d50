"""A day of low energy: high strain only where nothing else may be planned."""

from tests.strategies import Sent, plan_of
from tests.unit.engine.numbers import own_task, request

LOW: Sent = {"circumstances": {"energy": "low"}}


def test_high_strain_is_left_out_though_it_is_worth_more() -> None:
    octaves = own_task("octaves", 60, strain="high", pin="more")
    new = own_task("sonata", 60, stage="new")
    assert "octaves" in {step.task for step in plan_of(request(octaves, new)).steps}
    plan = plan_of(request(octaves, new) | LOW)
    assert "octaves" not in {step.task for step in plan.steps}
    (left_out,) = (each for each in plan.left_out if each.task == "octaves")
    assert left_out.reasons[0].because == "the most strain, and there is little energy today"
    assert "octaves" not in {rung.task for rung in plan.ladder.rungs}


def test_high_strain_is_planned_where_there_is_nothing_else() -> None:
    plan = plan_of(request(own_task("octaves", 60, strain="high"), own_task("never", 60, pin="never")) | LOW)
    assert {step.task for step in plan.steps} == {"octaves"}


def test_after_weeks_away_high_strain_is_left_out_too_where_all_strains() -> None:
    history = [{"task": "octaves", "date": "2027-01-10", "seconds": 600}]
    octaves, trills = own_task("octaves", 60, strain="high"), own_task("trills", 60, strain="moderate")
    plan = plan_of(request(octaves, trills, date="2027-03-01", history=history) | LOW)
    assert {step.task for step in plan.steps} == {"trills"}


def test_moderate_strain_counts_seven_tenths() -> None:
    plan = plan_of(request(own_task("trills", 60, strain="moderate"), own_task("waltz", 60)) | LOW)
    assert {task.task: task.factors.circumstances for task in plan.tasks} == {"trills": 0.7, "waltz": 1.0}


def first_steps(*lengths: int, minutes: int) -> list[tuple[int, bool]]:
    waltz = own_task("waltz", *lengths, smallest_chunk_seconds=60, set_up_seconds=0)
    never = own_task("never", 60, minutes=100, pin="never")
    day = {"energy": "low", "minutes": minutes}
    return [
        (step.seconds, step.continues) for step in plan_of(request(waltz, never, circumstances=day)).steps
    ]


def test_a_first_step_is_cut_where_what_is_left_is_something_else() -> None:
    assert first_steps(120, 100, 80, minutes=6) == [(120, False), (180, True)]


def test_nothing_is_begun_twice_and_nothing_cut_that_stays_long() -> None:
    assert first_steps(120, 100, minutes=8) == [(340, False)]
    assert first_steps(200, 150, minutes=8) == [(350, False)]


def test_no_crumb_is_cut_off() -> None:
    """What would be left is less than a useful piece: of three lines two are one."""
    scales = own_task("scales", 63, 63, 63, smallest_chunk_seconds=90, set_up_seconds=0)
    never = own_task("never", 60, minutes=100, pin="never")
    day = {"energy": "low", "minutes": 4}
    steps = plan_of(request(scales, never, circumstances=day)).steps
    assert [len(step.units) for step in steps] == [3]
