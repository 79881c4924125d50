"""A forecast of given days is what asking `compress` on each day gives, with all days before as the history."""

import itertools
from typing import Any

from bagatelle.model.errors import NoShortDayFitsError, NothingAllowedError, NothingFitsError
from bagatelle.model.plan import Plan
from hypothesis import assume, given

from tests.forecast_strategies import forecast_of, forecast_requests
from tests.strategies import DAY, Sent, plan_of

NO_PLAN = (NothingFitsError, NoShortDayFitsError, NothingAllowedError)
LONG_DAY = {"minutes": 600}


@given(forecast_requests(drawn=False))
def test_the_same_day_by_day(sent: Sent) -> None:
    days = sent["known_days"]
    replayed = Replay(sent)
    played = [replayed.play(day) for day in days]
    made = forecast_of(sent)
    assert [day.seconds for day in made.stretch] == [sum(seconds(today).values()) for today in played]
    assert made.with_plans.days_kept == sum(map(bool, played))
    for row in made.with_plans.tasks:
        came = [row.task in today for today in played]
        assert row.seconds == sum(seconds(today).get(row.task, 0) for today in played)
        assert row.days == sum(came)
        assert row.longest_gap_days == longest_run(came)
        assert row.units_covered == len(
            {unit for today in played for unit in today.get(row.task, (0, ()))[1]}
        )
    assert {task for today in played for task in today} <= {row.task for row in made.with_plans.tasks}


class Replay:
    """Somebody who plays each day what the answers say, and writes all of it down."""

    def __init__(self, sent: Sent) -> None:
        shared = ("routine", "instrument", "locale", "learner", "policy")
        self._request = {name: sent[name] for name in shared if name in sent}
        self._history = [entry for entry in sent.get("history", ()) if entry["date"] < DAY]

    def play(self, day: Sent) -> dict[str, tuple[int, set[str]]]:
        """Task -> seconds and whole units; the day is in the history afterwards."""
        played = self._played(day)
        self._history += [
            {"task": task, "date": day["date"], "seconds": length, "units": sorted(units)}
            for task, (length, units) in played.items()
            if not task.startswith("_")
        ]
        return played

    def _played(self, day: Sent) -> dict[str, tuple[int, set[str]]]:
        if day["kind"] == "usual":
            return usual(self._plan(day | {"circumstances": LONG_DAY}))
        if day["kind"] == "no-time":
            return {}
        try:
            return short(self._plan(day))
        except NO_PLAN:
            return {}

    def _plan(self, day: Sent) -> Plan:
        asked: dict[str, Any] = {"date": day["date"], "circumstances": day["circumstances"]}
        try:
            return plan_of(self._request | asked | {"history": self._history})
        except NO_PLAN:
            # Without any plan, nothing tells the units of a usual day either.
            assume(day["kind"] == "short")
            raise


def usual(plan: Plan) -> dict[str, tuple[int, set[str]]]:
    """The whole routine: of each task the units, in the day's order, that end within its usual time."""
    played = {}
    for task in plan.tasks:
        if not task.stand_in:
            ends = itertools.accumulate(unit.seconds for unit in task.units)
            inside = sum(end <= task.usual_seconds for end in ends)
            played[task.task] = task.usual_seconds, {unit.id for unit in task.units[: max(inside, 1)]}
    return played


def short(plan: Plan) -> dict[str, tuple[int, set[str]]]:
    """What the steps of a plan hold."""
    played: dict[str, tuple[int, set[str]]] = {}
    for step in plan.steps:
        if step.task is not None:
            before, units = played.get(step.task, (0, set()))
            played[step.task] = before + step.seconds, units | set(step.units)
    return played


def seconds(today: dict[str, tuple[int, set[str]]]) -> dict[str, int]:
    return {task: length for task, (length, _) in today.items()}


def longest_run(came: list[bool]) -> int:
    """The longest run of days without, by writing the days as a string of dots."""
    return max(map(len, "".join("x" if there else "." for there in came).split("x")))
