"""Laying doses into windows, by hand."""

from bagatelle.engine.layout import Visit, lay_out, seconds_of_visits
from bagatelle.engine.problem import Duties, Item, Problem
from bagatelle.engine.visit_task import VisitTask

from tests.unit.engine.numbers import item


def problem(*items: Item) -> Problem:
    """An hour, with floors at the chunk."""
    return Problem(
        items=items,
        budget_seconds=3600,
        capacity_seconds=3600,
        floor_mode="chunk",
        duties=Duties(task_limit=12),
        curve=2.0,
    )


def laid(
    doses: dict[str, int], windows: list[int], chunk: int = 120, set_up: int = 30
) -> list[tuple[int, int, int]] | None:
    items = [item(name, chunk_seconds=chunk, set_up_seconds=set_up) for name in doses]
    tasks = [VisitTask(index, one, problem(*items), 1) for index, one in enumerate(items)]
    return lay_out(zip(tasks, doses.values(), strict=True), windows)


def test_what_a_window_cannot_hold_goes_on_in_the_next() -> None:
    # 300 s: set-up 30 and four units of 60; 600 s: set-up 30 again and the six that are left.
    assert laid({"a": 10}, [300, 600]) == [(0, 0, 4), (1, 0, 6)]


def test_what_is_left_for_later_is_a_useful_visit_too() -> None:
    # Four of five units would fit, and leave one: less than the chunk of two.
    assert laid({"a": 5}, [300, 600]) == [(0, 0, 3), (1, 0, 2)]


def test_a_window_too_small_for_a_useful_visit_is_passed_over() -> None:
    assert laid({"a": 3}, [149, 600]) == [(1, 0, 3)]


def test_tasks_follow_one_another() -> None:
    assert laid({"a": 2, "b": 2}, [300]) == [(0, 0, 2), (0, 1, 2)]


def test_none_where_it_does_not_go_in() -> None:
    assert laid({"a": 5}, [329]) is None
    assert laid({"a": 5}, [330]) == [(0, 0, 5)]


def test_sum() -> None:
    visits = (
        Visit(window=0, task="a", first_unit=0, units=4, seconds=240, set_up_seconds=30),
        Visit(window=1, task="a", first_unit=4, units=6, seconds=360, set_up_seconds=30),
        Visit(window=1, task="b", first_unit=0, units=1, seconds=60, set_up_seconds=0),
    )
    assert seconds_of_visits(visits) == 720
