"""With the day near, what is not ready gets a turn: one hard place of it."""

from bagatelle.model.plan import Plan

from tests.strategies import plan_of
from tests.unit.engine.numbers import own_task, request


def made(due: str) -> Plan:
    climb = own_task("ballad", 120, 150, 180, stage="learning", due=due)
    ready = [own_task(name, 150, 150, due=due) for name in ("march", "waltz")]
    return plan_of(request(climb, *ready, circumstances={"minutes": 15}, date="2027-03-01"))


def test_one_place_of_what_is_due_soon_is_enough_for_a_visit() -> None:
    (ballad,) = (task for task in made("2027-03-07").tasks if task.task == "ballad")
    assert ballad.smallest_chunk_seconds == 120
    assert ballad.factors.stage == 0.95


def test_what_is_due_in_months_wants_more_room() -> None:
    (ballad,) = (task for task in made("2027-06-07").tasks if task.task == "ballad")
    assert ballad.smallest_chunk_seconds > 120
    assert ballad.factors.stage == 0.7
