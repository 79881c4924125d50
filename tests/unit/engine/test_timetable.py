"""Rests inside long windows, at the borders of units.

Klickstein, The Musician's Way (2009), p. 75: five minutes after twenty-five.
"""

from bagatelle.engine.budget import WindowTime
from bagatelle.engine.doses import scale_of
from bagatelle.engine.layout import Visit
from bagatelle.engine.timetable import timetable_of
from bagatelle.policy.table import Policy

from tests.unit.engine.numbers import item

HOUR = WindowTime(seconds=3600, playing_seconds=3000)
Shown = list[tuple[str | None, int, int]]


def shown(window: WindowTime, *doses: tuple[str, int, int]) -> Shown:
    """(task, set-up, seconds) of each slot; doses are (task, seconds of a unit, units)."""
    items = {
        name: item(name, unit_seconds=(unit,), largest_seconds=9000, usual_seconds=9000)
        for name, unit, _ in doses
    }
    visits = [
        Visit(window=0, task=name, first_unit=0, units=units, seconds=unit * units, set_up_seconds=30)
        for name, unit, units in doses
    ]
    scales = {name: scale_of(one) for name, one in items.items()}
    slots = timetable_of(visits, [window], scales, Policy())
    return [(slot.task, slot.set_up_seconds, slot.seconds) for slot in slots]


def test_a_short_window_has_no_rest() -> None:
    assert shown(WindowTime(seconds=1800, playing_seconds=1800), ("a", 30, 59)) == [("a", 30, 1770)]


def test_a_long_task_is_cut_by_a_rest_and_pays_its_set_up_once() -> None:
    # Set-up 30 and 49 units of 30 s make 1500; after the rest the other 50.
    assert shown(HOUR, ("a", 30, 99)) == [("a", 30, 1470), (None, 0, 300), ("a", 0, 1500)]


def test_a_rest_falls_on_the_last_border_before_25_minutes() -> None:
    # Two units of 700 s and the set-up make 1430; a third would make 2130.
    assert shown(HOUR, ("a", 700, 3)) == [("a", 30, 1400), (None, 0, 300), ("a", 0, 700)]


def test_a_rest_between_two_tasks() -> None:
    assert shown(HOUR, ("a", 1400, 1), ("b", 200, 1)) == [("a", 30, 1400), (None, 0, 300), ("b", 30, 200)]


def test_a_rest_between_two_tasks_rather_than_inside_one() -> None:
    # Common practice, no source. 930 and 1030 s: the second would be cut at the end of 1500.
    doses = ("a", 30, 30), ("b", 100, 10)
    assert shown(HOUR, *doses) == [("a", 30, 900), (None, 0, 300), ("b", 30, 1000)]


def test_a_rest_inside_a_task_where_half_of_a_stretch_was_not_played() -> None:
    doses = ("a", 30, 20), ("b", 100, 12)  # 630 s
    assert shown(HOUR, *doses) == [("a", 30, 600), ("b", 30, 800), (None, 0, 300), ("b", 0, 400)]


def test_a_rest_inside_a_task_where_one_before_it_leaves_more_than_a_stretch() -> None:
    doses = ("a", 30, 30), ("b", 100, 10), ("c", 450, 1)  # 1030 and 480 s
    assert shown(HOUR, *doses)[1:3] == [("b", 30, 500), (None, 0, 300)]


def test_no_rest_at_the_end() -> None:
    assert shown(HOUR, ("a", 30, 40)) == [("a", 30, 1200)]


def test_a_unit_longer_than_25_minutes_is_not_cut() -> None:
    assert shown(HOUR, ("a", 1600, 1), ("b", 60, 2)) == [("a", 30, 1600), (None, 0, 300), ("b", 30, 120)]


def test_no_more_rest_than_the_window_gives_up() -> None:
    # 55 minutes give up one rest. Units of 15 minutes would want a second.
    window = WindowTime(seconds=3300, playing_seconds=3000)
    assert shown(window, ("a", 900, 3)) == [("a", 30, 900), (None, 0, 300), ("a", 0, 1800)]
