"""Least recently done first, ties in the exercise's own order; what is dated on the day or later is left aside."""

import datetime as dt

from bagatelle.engine.rotation import in_rotation_order, last_done_tasks, last_done_units
from bagatelle.model.request import HistoryEntry

from tests.strategies import plan_of

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


def test_of_passages_that_have_waited_as_long_the_least_secure_comes_first() -> None:
    passages = [
        {"id": name, "label": name, "seconds": 60, "security": security}
        for name, security in (("sure", "high"), ("usual", "moderate"), ("shaky", "low"))
    ]
    piece = {"id": "piece", "title": "Piece", "area": "repertoire", "minutes": 30, "passages": passages}
    sent = {"date": "2027-03-01", "routine": {"blocks": [{"title": "Day", "tasks": [piece]}]}}
    (task,) = plan_of(sent).tasks
    assert [unit.id for unit in task.units] == ["shaky", "usual", "sure"]
    done = [{"task": "piece", "date": "2027-02-28", "seconds": 60, "units": ["shaky"]}]
    (task,) = plan_of(sent | {"history": done}).tasks
    assert [unit.id for unit in task.units] == ["usual", "sure", "shaky"]
