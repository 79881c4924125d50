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
    assert date == "due in 6 days; today goes first to March and Waltz, so it waits for next time"
    assert others == ["what is kept is due sooner"]
    assert room == "the least of it, from where it goes on, takes 20½ minutes, and today holds 9 minutes"


def test_what_is_kept_besides_the_warm_up_is_said_to_be() -> None:
    warm_up = own_task("tuning", 60, area="warm-up", minutes=2, pin="always")
    pieces = [own_task(name, 100, smallest_chunk_seconds=60) for name in ("waltz", "march", "polka")]
    made = plan(warm_up, *pieces, minutes=14)
    left = next(one.task for one in made.left_out if one.task != "never")
    assert reasons(made, left)[-1] == "today holds 2 things besides the warm-up"


def test_what_does_not_fit_into_what_is_left_says_how_much_it_takes() -> None:
    made = plan(own_task("waltz", 300), own_task("march", 300, stage="learning"), minutes=7)
    assert reasons(made, "march")[-1] == (
        "the least of it that is worth doing takes 5½ minutes, with half a minute left"
    )


def test_new_is_no_reason_where_new_things_are_kept() -> None:
    new = [own_task(name, 200, stage="new") for name in ("waltz", "march", "polka")]
    made = plan(*new)
    for left in made.left_out:
        assert "new: keep it for a longer day" not in reasons(made, left.task)
