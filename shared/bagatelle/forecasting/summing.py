"""Summing up a stretch that was played: for all, for each area, for each task."""

from collections.abc import Iterable, Mapping, Sequence
from itertools import chain, groupby
from typing import TypeAlias

from msgspec import Struct
from msgspec.structs import asdict

from bagatelle.engine.settled import SettledTask
from bagatelle.forecasting.played import DayPlayed, TaskPlayed
from bagatelle.model.forecast import AreaForecast, DayKind, Outcome, TaskForecast
from bagatelle.model.vocabulary import AREAS

_DaysByTask: TypeAlias = Mapping[str, Mapping[int, TaskPlayed]]
"""Task -> number of the day -> what was played of it."""


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
    days_by_task = _days_by_task(played)
    return Outcome(
        days_kept=sum(kept),
        longest_gap_days=longest_gap(kept),
        short_days_without_playing=sum(
            kind == "short" and not played_at_all for kind, played_at_all in zip(kinds, kept, strict=True)
        ),
        seconds=sum(day.seconds for day in played),
        areas=tuple(_areas(tasks, days_by_task, len(kinds))),
        tasks=tuple(_task(task, days_by_task, len(kinds)) for task in tasks),
    )


def longest_gap(came: Iterable[bool]) -> int:
    """The most days in a row on which something did not come; 0 where it came on each."""
    return max((len(list(days)) for there, days in groupby(came) if not there), default=0)


def _days_by_task(played: Sequence[DayPlayed]) -> _DaysByTask:
    days: dict[str, dict[int, TaskPlayed]] = {}
    for number, day in enumerate(played):
        for each in day.tasks:
            days.setdefault(each.task, {})[number] = each
    return days


def _areas(
    tasks: Sequence[SettledTask], days_by_task: _DaysByTask, stretch_days: int
) -> Iterable[AreaForecast]:
    for area in AREAS:
        inside = [task for task in tasks if task.area == area]
        if inside:
            yield AreaForecast(area=area, **asdict(_sums(inside, days_by_task, stretch_days)))


def _task(task: SettledTask, days_by_task: _DaysByTask, stretch_days: int) -> TaskForecast:
    return TaskForecast(
        task=task.id,
        block=task.block,
        title=task.title,
        area=task.area,
        stand_in=task.stand_in,
        **asdict(_sums([task], days_by_task, stretch_days)),
    )


def _sums(tasks: Sequence[SettledTask], days_by_task: _DaysByTask, stretch_days: int) -> _Sums:
    of_tasks = [days_by_task.get(task.id, {}) for task in tasks]
    came = {number for days in of_tasks for number in days}
    return _Sums(
        seconds=sum(each.seconds for days in of_tasks for each in days.values()),
        days=len(came),
        longest_gap_days=longest_gap(number in came for number in range(stretch_days)),
        units_covered=sum(
            len(set(chain.from_iterable(each.units for each in days.values()))) for days in of_tasks
        ),
        units=sum(len(task.units) for task in tasks),
    )
