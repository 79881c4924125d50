"""Summing up a stretch that was played: for all, for each area, for each task."""

from collections.abc import Iterable, Sequence
from itertools import groupby

from msgspec import Struct

from bagatelle.engine.settled import SettledTask
from bagatelle.forecasting.played import DayPlayed
from bagatelle.model.forecast import AreaForecast, DayKind, Outcome, TaskForecast
from bagatelle.model.vocabulary import AREAS, Area


class _Sums(Struct, frozen=True, kw_only=True):
    """What some tasks come to together."""

    seconds: int
    days: int
    longest_gap_days: int
    units_covered: int
    units: int


def outcome_of(
    tasks: Sequence[SettledTask], kinds: Sequence[DayKind], played: Sequence[DayPlayed]
) -> Outcome:
    """What a stretch comes to.

    Parameters
    ----------
    tasks
        Every task that any day may have played, the stand-in among them, in the order of the answer.
    kinds
        n kinds of day.
    played
        What was played on each of the n days.
    """
    kept = [bool(day.tasks) for day in played]
    return Outcome(
        days_kept=sum(kept),
        longest_gap_days=longest_gap(kept),
        short_days_without_playing=sum(
            kind == "short" and not played_at_all for kind, played_at_all in zip(kinds, kept, strict=True)
        ),
        seconds=sum(day.seconds for day in played),
        areas=tuple(_area(area, tasks, played) for area in AREAS if any(task.area == area for task in tasks)),
        tasks=tuple(_task(task, played) for task in tasks),
    )


def longest_gap(came: Iterable[bool]) -> int:
    """The most days in a row on which something did not come; 0 where it came on each."""
    return max((len(list(days)) for there, days in groupby(came) if not there), default=0)


def _area(area: Area, tasks: Iterable[SettledTask], played: Sequence[DayPlayed]) -> AreaForecast:
    sums = _sums([task for task in tasks if task.area == area], played)
    return AreaForecast(
        area=area,
        seconds=sums.seconds,
        days=sums.days,
        longest_gap_days=sums.longest_gap_days,
        units_covered=sums.units_covered,
        units=sums.units,
    )


def _task(task: SettledTask, played: Sequence[DayPlayed]) -> TaskForecast:
    sums = _sums([task], played)
    return TaskForecast(
        task=task.id,
        block=task.block,
        title=task.title,
        area=task.area,
        seconds=sums.seconds,
        days=sums.days,
        longest_gap_days=sums.longest_gap_days,
        units_covered=sums.units_covered,
        units=sums.units,
        stand_in=task.stand_in,
    )


def _sums(tasks: Sequence[SettledTask], played: Sequence[DayPlayed]) -> _Sums:
    ids = {task.id for task in tasks}
    of_days = [[each for each in day.tasks if each.task in ids] for day in played]
    came = [bool(of_day) for of_day in of_days]
    every = [each for of_day in of_days for each in of_day]
    return _Sums(
        seconds=sum(each.seconds for each in every),
        days=sum(came),
        longest_gap_days=longest_gap(came),
        units_covered=len({(each.task, unit) for each in every for unit in each.units}),
        units=sum(len(task.units) for task in tasks),
    )
