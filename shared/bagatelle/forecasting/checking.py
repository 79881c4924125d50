"""What only a forecast can have wrong: its days. What a compression can have wrong, its reading finds."""

from collections.abc import Iterable, Sequence
from datetime import date
from typing import Final

from bagatelle.engine.reading import errors_of_circumstances
from bagatelle.engine.settled import SettledTask
from bagatelle.forecasting.stretch import Day
from bagatelle.model.errors import FieldError
from bagatelle.model.forecast import ForecastRequest, KindOfDay, KnownDay
from bagatelle.model.request import Circumstances

WORK_LIMIT: Final = 20_000
"""The most that the short days of a forecast may count together, see `work_of`."""
SEVERAL_WINDOWS_WORK: Final = 3
"""A plan for several windows takes several times as long for each, measured."""
UNIT_DAYS_LIMIT: Final = 1_000_000
"""The most that the units of all tasks, times the days, may come to."""


def errors_of_days(request: ForecastRequest) -> Iterable[FieldError]:
    """Everything that is wrong with the days of a request, each with its pointer."""
    if request.days - 1 > (date.max - request.date).days:
        yield FieldError(
            pointer="/days",
            message="The stretch goes beyond the last date that there is.",
            accepted=f"Days up to {date.max}.",
        )
    seen: set[date] = set()
    for index, known in enumerate(request.known_days):
        pointer = f"/known_days/{index}"
        yield from _errors_of_date(request, known.date, f"{pointer}/date", repeated=known.date in seen)
        yield from _errors_of_kind(known, pointer)
        seen.add(known.date)
    for index, kind in enumerate(request.distribution.kinds if request.distribution else ()):
        yield from _errors_of_kind(kind, f"/distribution/kinds/{index}")
    if request.variant is not None and request.variant.routine is None and request.variant.policy is None:
        yield FieldError(
            pointer="/variant",
            message="The variant changes nothing.",
            accepted="A routine, a policy, or both; or no variant.",
        )


def errors_of_work(days: Sequence[Day], runs: Sequence[Sequence[SettledTask]]) -> Iterable[FieldError]:
    """The errors of a stretch that takes too much planning, or too many units a day.

    Parameters
    ----------
    days
        The stretch.
    runs
        The tasks of each run (the request's own, the variant's).
    """
    work = sum(work_of(days, len(tasks)) for tasks in runs)
    unit_days = len(days) * sum(len(task.units) for tasks in runs for task in tasks)
    if unit_days > UNIT_DAYS_LIMIT:
        yield FieldError(
            pointer="/days",
            message=f"Units times days come to {unit_days}, and a forecast holds at most {UNIT_DAYS_LIMIT}.",
            accepted="Fewer days, or tasks of fewer units; the units of a variant count as well.",
        )
    if work > WORK_LIMIT:
        yield FieldError(
            pointer="/days",
            message=f"The short days count {work} together, and a forecast at most {WORK_LIMIT}.",
            accepted=(
                "Fewer short days, tasks or windows. A short day of one window counts its tasks; one of several, "
                f"{SEVERAL_WINDOWS_WORK} times its tasks for each window; a variant counts as well."
            ),
        )


def work_of(days: Iterable[Day], tasks: int) -> int:
    """What the short days count: the tasks of each, and with several windows three times that for each window."""
    short = (len(day.circumstances.windows) for day in days if day.kind == "short")
    return sum(tasks * (SEVERAL_WINDOWS_WORK * windows if windows > 1 else 1) for windows in short)


def _errors_of_date(
    request: ForecastRequest, day: date, pointer: str, *, repeated: bool
) -> Iterable[FieldError]:
    if not 0 <= (day - request.date).days < request.days:
        yield FieldError(
            pointer=pointer,
            message=f"{day} is not in the stretch.",
            accepted=f"A date from {request.date} on, within {request.days} days.",
        )
    if repeated:
        yield FieldError(
            pointer=pointer, message=f"{day} is given more than once.", accepted="Each date at most once."
        )


def _errors_of_kind(day: KnownDay | KindOfDay, pointer: str) -> Iterable[FieldError]:
    yield from errors_of_circumstances(day.circumstances, f"{pointer}/circumstances")
    if day.kind != "short" and day.circumstances != Circumstances():
        yield FieldError(
            pointer=f"{pointer}/circumstances",
            message=f"Circumstances belong to a short day, and this one is {day.kind}.",
            accepted="The kind short; or no circumstances.",
        )
