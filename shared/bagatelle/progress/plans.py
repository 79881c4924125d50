"""How plans were used: which steps were done, which are skipped again and again, and whether plans fit."""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from datetime import date

from msgspec import Struct

from bagatelle.model.progress import (
    KindUse,
    LogEntry,
    LogKind,
    PlanFit,
    PlanUse,
    SheetMade,
    SkippedTask,
)
from bagatelle.progress.entries import entries_by_day, kept_days, was_played
from bagatelle.progress.fitting import LEVEL, length_that_fits


class SheetUsed(Struct, frozen=True, kw_only=True):
    """A sheet, and the steps of it that were done."""

    sheet: SheetMade
    done: frozenset[str]

    @property
    def begun(self) -> bool:
        """Whether anything of it was done."""
        return bool(self.done)

    @property
    def finished(self) -> bool:
        """Whether every step was done; a sheet without any is never."""
        return self.begun and len(self.done) == len(self.sheet.steps)


def sheets_used(sheets: Iterable[SheetMade], entries: Iterable[LogEntry]) -> tuple[SheetUsed, ...]:
    """Lay the logs of each sheet's day over it.

    An entry does the step that it names. One of a short day that names none does every step of its task, as nobody
    said which.
    """
    by_day = entries_by_day(entry for entry in entries if was_played(entry))
    return tuple(
        SheetUsed(sheet=sheet, done=_steps_done(sheet, by_day.get(sheet.day, ())))
        for sheet in sorted(sheets, key=lambda each: each.day)
    )


def plan_use(sheets: Sequence[SheetUsed], today: date, skipped_on_sheets: int) -> PlanUse:
    """Count what was made, begun and finished, and find what is skipped again and again.

    Parameters
    ----------
    sheets
        Those of the stretch.
    today
        A day that is not over has skipped nothing yet.
    skipped_on_sheets
        Begun sheets that a task must have stood on before anything is said.
    """
    kinds = sorted({used.sheet.plan_kind for used in sheets})
    return PlanUse(
        made=len(sheets),
        begun=sum(used.begun for used in sheets),
        finished=sum(used.finished for used in sheets),
        kinds=tuple(_kind(kind, [used for used in sheets if used.sheet.plan_kind == kind]) for kind in kinds),
        skipped=tuple(_skipped([used for used in sheets if used.sheet.day < today], skipped_on_sheets)),
    )


def plan_fit(
    entries: Sequence[LogEntry], sheets: Iterable[SheetUsed], today: date, plan_seconds: int | None
) -> PlanFit:
    """Whether the plan that stands ready fits the hard days that there really were."""
    given = _given_by_hard_days(entries, kept_days(entries), sheets, today)
    fits = length_that_fits(given)
    return PlanFit(
        days=len(given),
        fits_seconds=None if fits is None else fits.seconds,
        level=LEVEL,
        low_seconds=None if fits is None else fits.low_seconds,
        high_seconds=None if fits is None else fits.high_seconds,
        plan_seconds=plan_seconds,
        plan_is_longer=fits is not None and plan_seconds is not None and plan_seconds > fits.high_seconds,
    )


def _steps_done(sheet: SheetMade, entries: Sequence[LogEntry]) -> frozenset[str]:
    named = {entry.step for entry in entries if entry.step is not None}
    tasks = {entry.task for entry in entries if entry.step is None and entry.kind == "short"}
    return frozenset(step.id for step in sheet.steps if step.id in named or step.task in tasks)


def _kind(kind: str, sheets: Sequence[SheetUsed]) -> KindUse:
    return KindUse(
        plan_kind=kind,
        made=len(sheets),
        begun=sum(used.begun for used in sheets),
        finished=sum(used.finished for used in sheets),
    )


def _skipped(sheets: Iterable[SheetUsed], least_sheets: int) -> Iterable[SkippedTask]:
    planned: Counter[str] = Counter()
    skipped: Counter[str] = Counter()
    for used in sheets:
        if used.begun:
            tasks = {step.task for step in used.sheet.steps}
            planned.update(tasks)
            skipped.update(tasks - {step.task for step in used.sheet.steps if step.id in used.done})
    for task in sorted(planned):
        if planned[task] >= least_sheets and 2 * skipped[task] > planned[task]:
            yield SkippedTask(task=task, planned_on=planned[task], skipped_on=skipped[task])


def _given_by_hard_days(
    entries: Iterable[LogEntry], kept: Mapping[date, LogKind], sheets: Iterable[SheetUsed], today: date
) -> list[int]:
    """What each hard day gave: all that was played; where its sheet was finished, at least what that was made for.

    Without the second, a day that held its whole plan would seem to have no room for it, as a plan leaves time
    free. A day of which nobody took the time says nothing.
    """
    given = {day: 0 for day, kind in kept.items() if kind == "short" and day < today}
    for entry in entries:
        if entry.day in given:
            given[entry.day] += entry.seconds
    for used in sheets:
        day = used.sheet.day
        if day in given and used.finished:
            given[day] = max(given[day], used.sheet.given_seconds)
    return [seconds for seconds in given.values() if seconds > 0]
