"""Every unit of a kept task comes back within ceil(n / m) days on which the task is kept.

A step of music begins with what the last day missed.

n units, m different ones on each such day (the least of these numbers, where days differ). The log of each day's
plan is the next day's history.
"""

import datetime as dt
import math
from collections.abc import Iterator

from bagatelle.model.plan import Plan
from hypothesis import given
from hypothesis import strategies as st

from tests.strategies import Sent, plan_of

FIRST_DAY = dt.date(2027, 3, 1)
KEYS = ("C", "G", "D", "A", "E", "B", "F#", "Db", "Ab", "Eb", "Bb", "F")


@st.composite
def routines_with_units(draw: st.DrawFn) -> Sent:
    """Scales of some keys, a piece in some passages, and what competes with both."""
    count = draw(st.integers(2, 12))
    piece_units = [
        {"id": f"p{number}", "label": f"line {number}", "seconds": draw(st.integers(20, 120)), "passes": 1}
        for number in range(draw(st.integers(2, 9)))
    ]
    tasks: list[Sent] = [
        {
            "id": "scales",
            "exercise": "piano.major-scale",
            "settings": {"keys": list(KEYS[:count])},
            "minutes": 10,
        },
        {"id": "piece", "title": "Waltz", "area": "repertoire", "minutes": 15, "passages": piece_units},
        {"id": "other", "title": "Reading", "area": "sight-reading", "minutes": draw(st.integers(5, 20))},
    ]
    for task in tasks:
        task["cadence_days"] = draw(st.integers(1, 4))
        task["stage"] = draw(st.sampled_from(("maintaining", "refining", "learning")))
    return {
        "instrument": "piano",
        "routine": {"blocks": [{"title": "Evening", "tasks": tasks}]},
        "measure_ladder": False,
    }


@given(routines_with_units(), st.lists(st.integers(5, 18), min_size=15, max_size=15))
def test_units_come_back_in_time(sent: Sent, minutes: list[int]) -> None:
    kept_days: dict[str, list[set[str]]] = {}
    units: dict[str, set[str]] = {}
    for plan in days_of(sent, minutes):
        units |= {task.task: {unit.id for unit in task.units} for task in plan.tasks}
        for task, steps in kept(plan).items():
            kept_days.setdefault(task, []).extend(set(step) for step in steps)
    for task, days in kept_days.items():
        assert_all_come_back(units[task], days)


@given(routines_with_units(), st.lists(st.integers(5, 18), min_size=8, max_size=8))
def test_music_begins_with_what_the_last_day_missed_and_technique_with_its_first(
    sent: Sent, minutes: list[int]
) -> None:
    last_day: set[str] = set()
    own_order: list[str] = []
    for plan in days_of(sent, minutes):
        (scales,) = (task for task in plan.tasks if task.task == "scales")
        # Where nothing was done yet, units come as the exercise has them.
        own_order = own_order or [unit.id for unit in scales.units]
        of_day = kept(plan)
        for step in of_day.get("piece", ()):
            numbers = [(unit in last_day, int(unit.removeprefix("p"))) for unit in dict.fromkeys(step)]
            assert numbers == sorted(numbers)
        for step in of_day.get("scales", ()):
            keys = [own_order.index(unit) for unit in dict.fromkeys(step)]
            assert keys == sorted(keys)
        last_day = {unit for step in of_day.get("piece", ()) for unit in step} or last_day


def days_of(sent: Sent, minutes: list[int]) -> Iterator[Plan]:
    """The plans of days in a row, each with what those before it were as its history."""
    history: list[Sent] = []
    for number, length in enumerate(minutes):
        day = str(FIRST_DAY + dt.timedelta(days=number))
        plan = plan_of(sent | {"date": day, "history": history, "circumstances": {"minutes": length}})
        yield plan
        for step in plan.steps:
            if step.task is not None:
                units = sorted(set(step.units))
                history.append({"task": step.task, "date": day, "seconds": step.seconds, "units": units})


def kept(plan: Plan) -> dict[str, list[tuple[str, ...]]]:
    """The units of each step, by task."""
    found: dict[str, list[tuple[str, ...]]] = {}
    for step in plan.steps:
        if step.task is not None:
            found.setdefault(step.task, []).append(step.units)
    return found


def assert_all_come_back(units: set[str], days: list[set[str]]) -> None:
    """In any stretch of ceil(n / m) kept days, m the least there, every unit is played."""
    for start in range(len(days)):
        for end in range(start + 1, len(days) + 1):
            stretch = days[start:end]
            if len(stretch) == math.ceil(len(units) / min(len(day) for day in stretch)):
                assert set().union(*stretch) == units
