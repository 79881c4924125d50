"""Least recently done first, ties in the exercise's own order; what is dated on the day or later is left aside."""

import datetime as dt

from bagatelle.engine.rotation import in_rotation_order, last_done_tasks, last_done_units
from bagatelle.model.request import HistoryEntry

DAY = dt.date(2027, 3, 1)
UNITS = [(name, name) for name in "CGDA"]


def entry(day: dt.date, *units: str, task: str = "scales") -> HistoryEntry:
    return HistoryEntry(task=task, date=day, units=units)


def ordered(*history: HistoryEntry) -> str:
    return "".join(in_rotation_order("scales", UNITS, last_done_units(history, DAY)))


def test_nothing_done_keeps_the_exercise_order() -> None:
    assert ordered() == "CGDA"


def test_least_recent_first() -> None:
    assert ordered(entry(dt.date(2027, 2, 28), "C"), entry(dt.date(2027, 2, 20), "G")) == "DAGC"


def test_the_latest_day_of_a_unit_counts() -> None:
    assert ordered(entry(dt.date(2027, 2, 28), "D"), entry(dt.date(2027, 1, 1), "D", "A")) == "CGAD"


def test_same_day_is_a_tie() -> None:
    assert ordered(entry(dt.date(2027, 2, 28), "G", "C")) == "DACG"


def test_the_day_itself_and_other_tasks_do_not_count() -> None:
    assert ordered(entry(DAY, "C"), entry(dt.date(2027, 2, 1), "C", task="other")) == "CGDA"


def test_a_task_counts_as_done_without_a_whole_unit() -> None:
    history = [entry(dt.date(2027, 2, 20)), entry(dt.date(2027, 2, 10), "C")]
    assert last_done_tasks(history, DAY) == {"scales": dt.date(2027, 2, 20)}
