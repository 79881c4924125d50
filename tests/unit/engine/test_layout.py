"""Laying doses into windows, by hand."""

from bagatelle.engine.layout import Piece, Visit, doses_of_visits, lay_out, seconds_of_visits
from bagatelle.engine.problem import scale_of

from tests.unit.engine.numbers import item


def piece(name: str, units: int, chunk: int = 120, set_up: int = 30) -> Piece:
    one = item(name, set_up_seconds=set_up)
    return Piece(item=one, scale=scale_of(one), units=units, visit_seconds=chunk)


def laid(pieces: list[Piece], windows: list[int]) -> list[tuple[int, str, int, int]] | None:
    visits = lay_out(pieces, windows)
    return (
        [(each.window, each.task, each.first_unit, each.units) for each in visits]
        if visits is not None
        else None
    )


def test_what_a_window_cannot_hold_goes_on_in_the_next() -> None:
    # 300 s: set-up 30 and four units of 60; 600 s: set-up 30 again and the six that are left.
    assert laid([piece("a", 10)], [300, 600]) == [(0, "a", 0, 4), (1, "a", 4, 6)]


def test_what_is_left_for_later_is_a_useful_visit_too() -> None:
    # Four of five units would fit, and leave one: less than the chunk of two.
    assert laid([piece("a", 5)], [300, 600]) == [(0, "a", 0, 3), (1, "a", 3, 2)]


def test_a_window_too_small_for_a_useful_visit_is_passed_over() -> None:
    assert laid([piece("a", 3)], [149, 600]) == [(1, "a", 0, 3)]


def test_tasks_follow_one_another() -> None:
    assert laid([piece("a", 2), piece("b", 2)], [300]) == [(0, "a", 0, 2), (0, "b", 0, 2)]


def test_none_where_it_does_not_go_in() -> None:
    assert laid([piece("a", 5)], [329]) is None
    assert laid([piece("a", 5)], [330]) == [(0, "a", 0, 5)]


def test_sums() -> None:
    visits = (
        Visit(window=0, task="a", first_unit=0, units=4, seconds=240, set_up_seconds=30),
        Visit(window=1, task="a", first_unit=4, units=6, seconds=360, set_up_seconds=30),
        Visit(window=1, task="b", first_unit=0, units=1, seconds=60, set_up_seconds=0),
    )
    assert seconds_of_visits(visits) == 720
    assert doses_of_visits(visits) == {"a": 10, "b": 1}
