"""Which duty gives way, and how far the floors fall, in small cases that can be seen through."""

from bagatelle.engine.problem import Item
from bagatelle.engine.terms import Routine, Terms, settle_terms, task_limit
from bagatelle.policy.table import Policy

from tests.unit.engine.numbers import item

POLICY = Policy()


def terms(budget: int, *items: Item, stand_in: Item | None = None) -> Terms:
    routine = Routine(items=items, stand_in=stand_in, policy=POLICY)
    settled = settle_terms(routine, budget, budget, budget)
    assert settled is not None
    return settled


def test_one_task_for_each_five_minutes_at_least_two() -> None:
    # common practice, no source
    assert [task_limit(minutes * 60, POLICY) for minutes in (3, 10, 17, 18, 30, 60)] == [2, 2, 2, 3, 5, 10]


def test_nothing_gives_way_where_everything_fits() -> None:
    settled = terms(
        600, item("piece", music=True), item("warm-up", prepares=True, short_floor=True, chunk_seconds=60)
    )
    assert settled.problem.floor_mode == "usual"
    assert settled.problem.duties.music
    assert settled.unmet_pins == ()
    assert {settled.unmet_music, settled.unmet_preparing, settled.raised_limit} == {False}


def test_music_is_asked_for_from_ten_minutes() -> None:
    # common practice, no source
    assert not terms(599, item("piece", music=True)).problem.duties.music
    assert terms(600, item("piece", music=True)).problem.duties.music


def test_of_two_pins_that_do_not_fit_together_the_later_id_gives_way() -> None:
    settled = terms(600, item("a", unit_seconds=(400,), must=True), item("b", unit_seconds=(400,), must=True))
    assert settled.unmet_pins == ("b",)
    assert {one.id for one in settled.problem.items if one.must} == {"a"}


def test_three_pins_raise_the_limit_of_two() -> None:
    settled = terms(600, *(item(name, must=True, chunk_seconds=60) for name in "abc"))
    assert settled.raised_limit
    assert settled.problem.duties.task_limit == 3
    # Half the budget each would be 900 s; the chunks are 180 s.
    assert settled.problem.floor_mode == "chunk"


def test_music_gives_way_to_a_pin() -> None:
    settled = terms(
        600, item("a", unit_seconds=(400,), must=True), item("piece", unit_seconds=(400,), music=True)
    )
    assert settled.unmet_music
    assert not settled.problem.duties.music


def test_a_pin_gives_way_to_preparing() -> None:
    straining = item("octaves", strains=True, must=True, unit_seconds=(500,))
    warm_up = item("warm-up", prepares=True, short_floor=True, unit_seconds=(300,))
    settled = terms(600, straining, warm_up)
    assert settled.unmet_pins == ("octaves",)
    assert not settled.unmet_preparing
    assert settled.problem.duties.prepare


def test_the_stand_in_comes_where_the_own_warm_up_does_not_fit() -> None:
    straining = item("octaves", strains=True, must=True, unit_seconds=(400,))
    warm_up = item("warm-up", prepares=True, short_floor=True, unit_seconds=(300,))
    two_minutes = item("_warm-up", weight=0.0, usual_seconds=120, largest_seconds=120, unit_seconds=(120,),
                       chunk_seconds=120, prepares=True, short_floor=True)  # fmt: skip
    settled = terms(600, straining, warm_up, stand_in=two_minutes)
    assert settled.uses_stand_in
    assert not settled.unmet_pins
    assert not terms(700, straining, warm_up, stand_in=two_minutes).uses_stand_in


def test_floors_fall_to_the_chunk_then_to_a_unit() -> None:
    assert terms(330, item("a", set_up_seconds=30)).problem.floor_mode == "usual"
    assert terms(329, item("a", set_up_seconds=30)).problem.floor_mode == "unit"
    # Half of 400 s is 180 s in whole minutes, three times; the chunks are 120 s.
    three = tuple(item(name, must=True, chunk_seconds=120) for name in "abc")
    assert terms(400, *three).problem.floor_mode == "chunk"


def test_nothing_fits() -> None:
    routine = Routine(items=(item("a", set_up_seconds=30),), stand_in=None, policy=POLICY)
    assert settle_terms(routine, 89, 89, 89) is None
    assert settle_terms(routine, 90, 90, 90) is not None
    assert settle_terms(routine, 500, 500, 89) is None  # no window is long enough
