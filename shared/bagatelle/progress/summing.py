"""Sums over a stretch: by week and area, by area, by task and unit."""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from datetime import date, timedelta

from bagatelle.model.progress import (
    AreaProgress,
    AreaSeconds,
    LogEntry,
    TaskFacts,
    TaskProgress,
    UnitProgress,
    WeekPlayed,
)
from bagatelle.model.vocabulary import AREAS, Area
from bagatelle.progress.days import Stretch
from bagatelle.progress.entries import was_played


def weeks_of(entries: Iterable[LogEntry]) -> Iterable[WeekPlayed]:
    """Each ISO week in which anything was played, in order."""
    by_monday: dict[date, list[LogEntry]] = {}
    for entry in entries:
        if was_played(entry):
            by_monday.setdefault(entry.day - timedelta(days=entry.day.weekday()), []).append(entry)
    for monday in sorted(by_monday):
        yield _week(monday, by_monday[monday])


def areas_of(
    stretch: Stretch, entries: Iterable[LogEntry], tasks: Iterable[TaskFacts]
) -> Iterable[AreaProgress]:
    """Each area that the routine has or that got anything; free playing is left aside.

    An area that the routine has is counted from the day on which the first of its tasks came in.
    """
    of_area: dict[Area, list[LogEntry]] = {}
    for entry in entries:
        if entry.kind != "free" and entry.area is not None and was_played(entry):
            of_area.setdefault(entry.area, []).append(entry)
    since: dict[Area, date] = {}
    for task in tasks:
        if task.current and task.area is not None:
            begun = task.since or stretch.first_day
            since[task.area] = min(begun, since.get(task.area, begun))
    for area in AREAS:
        if area in of_area or area in since:
            inside = of_area.get(area, [])
            days = {entry.day for entry in inside}
            gaps = stretch.gaps(days, since.get(area))
            yield AreaProgress(
                area=area,
                seconds=_seconds(inside),
                days=len(days),
                longest_gap_days=max(gaps),
                current_gap_days=gaps[-1],
            )


def tasks_of(
    stretch: Stretch, entries: Iterable[LogEntry], tasks: Iterable[TaskFacts]
) -> Iterable[TaskProgress]:
    """Each task that is asked for, in that order."""
    of_task = played_of_tasks(entries)
    for task in tasks:
        inside = of_task.get(task.id, [])
        days = {entry.day for entry in inside}
        gaps = stretch.gaps(days, task.since)
        units, former_units = _units(task, inside)
        yield TaskProgress(
            task=task.id,
            seconds=_seconds(inside),
            days=len(days),
            last_day=max(days, default=None),
            longest_gap_days=max(gaps),
            current_gap_days=gaps[-1],
            units_covered=sum(unit.days > 0 for unit in units),
            units=units,
            former_units=former_units,
        )


def played_of_tasks(entries: Iterable[LogEntry]) -> Mapping[str, Sequence[LogEntry]]:
    """What was played of each task, whatever kind of day it was."""
    of_task: dict[str, list[LogEntry]] = {}
    for entry in entries:
        if entry.task is not None and was_played(entry):
            of_task.setdefault(entry.task, []).append(entry)
    return of_task


def _week(monday: date, entries: Sequence[LogEntry]) -> WeekPlayed:
    year, week, _ = monday.isocalendar()
    in_areas: Counter[Area] = Counter()
    free, no_area = 0, 0
    for entry in entries:
        if entry.kind == "free":
            free += entry.seconds
        elif entry.area is None:
            no_area += entry.seconds
        else:
            in_areas[entry.area] += entry.seconds
    return WeekPlayed(
        year=year,
        week=week,
        monday=monday,
        seconds=_seconds(entries),
        areas=tuple(AreaSeconds(area=area, seconds=in_areas[area]) for area in AREAS if in_areas[area]),
        free_seconds=free,
        no_area_seconds=no_area,
    )


def _units(
    task: TaskFacts, entries: Iterable[LogEntry]
) -> tuple[tuple[UnitProgress, ...], tuple[UnitProgress, ...]]:
    """Units that the task has now, and those that it had."""
    days: dict[str, set[date]] = {unit: set() for unit in task.units}
    for entry in entries:
        for unit in entry.units:
            days.setdefault(unit, set()).add(entry.day)
    now = tuple(dict.fromkeys(task.units))
    former = sorted(days.keys() - now)
    return tuple(_unit(unit, days[unit]) for unit in now), tuple(_unit(unit, days[unit]) for unit in former)


def _unit(unit: str, days: set[date]) -> UnitProgress:
    return UnitProgress(unit=unit, days=len(days), last_day=max(days, default=None))


def _seconds(entries: Iterable[LogEntry]) -> int:
    return sum(entry.seconds for entry in entries)
