"""What differs between two runs over the same days."""

from collections.abc import Iterable, Sequence
from typing import Any, Final

from bagatelle.model.forecast import (
    AreaDifference,
    AreaForecast,
    Change,
    Differences,
    Outcome,
    TaskDifference,
    TaskForecast,
)
from bagatelle.model.vocabulary import AREAS

_OF_ALL: Final = ("days_kept", "longest_gap_days", "short_days_without_playing", "seconds")
_OF_EACH: Final = ("seconds", "days", "longest_gap_days", "units_covered", "units")


def differences_of(base: Outcome, variant: Outcome) -> Differences:
    """Only what differs; areas in the vocabulary's order, tasks in the first run's, then the other's own."""
    return Differences(
        **_changes(_OF_ALL, base, variant),
        areas=tuple(_areas(base.areas, variant.areas)),
        tasks=tuple(_tasks(base.tasks, variant.tasks)),
    )


def _areas(base: Sequence[AreaForecast], variant: Sequence[AreaForecast]) -> Iterable[AreaDifference]:
    before = {each.area: each for each in base}
    after = {each.area: each for each in variant}
    for area in AREAS:
        changes = _changes(_OF_EACH, before.get(area), after.get(area))
        if changes:
            yield AreaDifference(area=area, **changes)


def _tasks(base: Sequence[TaskForecast], variant: Sequence[TaskForecast]) -> Iterable[TaskDifference]:
    before = {each.task: each for each in base}
    after = {each.task: each for each in variant}
    for task in before | after:
        changes = _changes(_OF_EACH, before.get(task), after.get(task))
        if changes:
            yield TaskDifference(task=task, **changes)


def _changes(names: Iterable[str], before: object, after: object) -> dict[str, Any]:
    """By name, what differs; a run without such an area or task has None."""
    numbers = ((name, getattr(before, name, None), getattr(after, name, None)) for name in names)
    return {name: Change(base=base, variant=variant) for name, base, variant in numbers if base != variant}
