"""What differs between two runs over the same days."""

from collections.abc import Iterable, Sequence
from typing import Final

from msgspec import UNSET, UnsetType

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

_COMPARED: Final = ("seconds", "days", "longest_gap_days", "units_covered", "units")


def differences_of(base: Outcome, variant: Outcome) -> Differences:
    """Only what differs; areas and tasks in the order of the first run, then those that the other has alone."""
    return Differences(
        days_kept=_change(base.days_kept, variant.days_kept),
        seconds=_change(base.seconds, variant.seconds),
        areas=tuple(_areas(base.areas, variant.areas)),
        tasks=tuple(_tasks(base.tasks, variant.tasks)),
    )


def _areas(base: Sequence[AreaForecast], variant: Sequence[AreaForecast]) -> Iterable[AreaDifference]:
    before = {each.area: each for each in base}
    after = {each.area: each for each in variant}
    for area in AREAS:
        changes = _changes(before.get(area), after.get(area))
        if changes:
            yield AreaDifference(area=area, **changes)


def _tasks(base: Sequence[TaskForecast], variant: Sequence[TaskForecast]) -> Iterable[TaskDifference]:
    before = {each.task: each for each in base}
    after = {each.task: each for each in variant}
    for task in before | after:
        changes = _changes(before.get(task), after.get(task))
        if changes:
            yield TaskDifference(task=task, **changes)


def _changes(
    before: AreaForecast | TaskForecast | None, after: AreaForecast | TaskForecast | None
) -> dict[str, Change]:
    numbers = {name: _change(getattr(before, name, None), getattr(after, name, None)) for name in _COMPARED}
    return {name: change for name, change in numbers.items() if change is not UNSET}


def _change(base: int | None, variant: int | None) -> Change | UnsetType:
    return Change(base=base, variant=variant) if base != variant else UNSET
