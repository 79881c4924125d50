"""Playing a stretch day by day: what each day plays is the history of the days after it."""

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from datetime import date
from itertools import accumulate
from typing import Final

from msgspec.structs import replace

from bagatelle.catalogue.instruments import Instruments
from bagatelle.engine.doses import scale_of
from bagatelle.engine.failed_tasks import refuse_failed
from bagatelle.engine.planned_day import plan_day
from bagatelle.engine.rotation import LastDone, in_rotation_order
from bagatelle.engine.settled import SettledTask
from bagatelle.engine.stand_in import STAND_IN
from bagatelle.forecasting.played import DayPlayed, Log, TaskPlayed
from bagatelle.forecasting.stretch import Day
from bagatelle.model.errors import (
    FieldError,
    InvalidInputError,
    NoShortDayFitsError,
    NothingAllowedError,
    NothingFitsError,
)
from bagatelle.model.request import CompressionRequest
from bagatelle.model.text import Message

STEP_LIMIT: Final = 500_000
"""How many steps the searches of all short days of one run may take together."""


def played_days(
    request: CompressionRequest,
    tasks: Sequence[SettledTask],
    days: Sequence[Day],
    instruments: Instruments,
    *,
    step_limit: int = STEP_LIMIT,
) -> tuple[DayPlayed, ...]:
    """What each day of the stretch plays.

    Parameters
    ----------
    request
        The routine with all but the day's own: date, circumstances and history are put in for each day.
    tasks
        The same routine settled, units in the exercise's own order.
    days
        n days, ascending.
    instruments
        The catalogues to look exercises up in.
    step_limit
        How many steps the searches of all days may take together.

    Returns
    -------
    tuple
        n days. A short day has what the plan made for it holds; nothing, where nothing fits or is allowed.

    Raises
    ------
    InvalidInputError
        The searches take more steps than that.
    """
    log = Log(request.history, days[0].date)
    played: list[DayPlayed] = []
    steps = 0
    for day in days:
        if day.kind == "short":
            today = short_day(_request_of(request, day, log), instruments)
        else:
            today = usual_day(tasks, log.last_done) if day.kind == "usual" else DayPlayed()
        steps += today.search_steps
        if steps > step_limit:
            raise InvalidInputError((_too_many_steps(day.date, step_limit),))
        log.add(day.date, [each for each in today.tasks if each.task != STAND_IN])
        played.append(today)
    return tuple(played)


def usual_day(tasks: Iterable[SettledTask], last_done: LastDone) -> DayPlayed:
    """The whole routine: each task for its usual time, with the whole units that it holds, in rotation order.

    A first unit that is longer than the usual time is played all the same, as in a plan.
    """
    return DayPlayed(tasks=tuple(_usual_task(task, last_done) for task in tasks))


def _usual_task(task: SettledTask, last_done: LastDone) -> TaskPlayed:
    units = in_rotation_order(task.id, [(unit.id, unit) for unit in task.units], last_done)
    ends = tuple(accumulate(unit.time.seconds for unit in units))
    count = max(bisect_right(ends, task.usual_seconds), 1)
    return TaskPlayed(
        task=task.id, seconds=task.usual_seconds, units=tuple(unit.id for unit in units[:count])
    )


def short_day(request: CompressionRequest, instruments: Instruments) -> DayPlayed:
    """The doses of the plan that `compress` makes of this request; nothing, where it finds none to make.

    :raises PluginError: where a plugin failed.
    """
    try:
        day = plan_day(request, instruments, _unsaid)
    except (NothingFitsError, NoShortDayFitsError, NothingAllowedError):
        return DayPlayed()
    refuse_failed(day.reading.failed)
    by_id = {task.id: task for task in day.tasks}
    return DayPlayed(
        tasks=tuple(
            TaskPlayed(
                task=task,
                seconds=scale_of(day.items[task]).seconds(count),
                units=tuple(unit.id for unit in by_id[task].units[:count]),
            )
            for task, count in day.solution.doses.items()
        ),
        search_steps=day.solution.certificate.search_steps,
    )


def _request_of(request: CompressionRequest, day: Day, log: Log) -> CompressionRequest:
    return replace(request, date=day.date, circumstances=day.circumstances, history=log.entries())


def _unsaid(message: Message) -> str:
    """Nothing of a simulated day is read by anybody."""
    return message.id


def _too_many_steps(day: date, step_limit: int) -> FieldError:
    return FieldError(
        pointer="/days",
        message=f"The searches for the plans take more than {step_limit} steps, on {day} at the latest.",
        accepted="Fewer short days, tasks or windows.",
    )
