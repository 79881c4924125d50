"""A forecast: a stretch of days played with short-day plans, without them, and with a variant."""

from collections.abc import Iterable, Sequence

from msgspec import Struct
from msgspec.structs import replace

from bagatelle.catalogue.instruments import Instruments
from bagatelle.engine.compress import made_with
from bagatelle.engine.failed_tasks import FailedTask, refuse_failed
from bagatelle.engine.reading import read_request
from bagatelle.engine.settled import SettledTask
from bagatelle.engine.stand_in import STAND_IN, stand_in_task
from bagatelle.forecasting.checking import errors_of_days, errors_of_work
from bagatelle.forecasting.differences import differences_of
from bagatelle.forecasting.played import DayPlayed
from bagatelle.forecasting.simulation import played_days
from bagatelle.forecasting.stretch import Day, days_of
from bagatelle.forecasting.summing import outcome_of
from bagatelle.forecasting.wording import assumptions_of, notices_of
from bagatelle.model.errors import FieldError, InvalidInputError
from bagatelle.model.forecast import (
    DrawnKind,
    Forecast,
    ForecastAnswer,
    ForecastDay,
    ForecastRequest,
    Outcome,
    VariantForecast,
)
from bagatelle.model.plan import MadeWith
from bagatelle.model.request import CompressionRequest
from bagatelle.policy.table import chosen_policy
from bagatelle.wording.render import Say
from bagatelle.wrong_fields import refuse

_VARIANT_POINTER = "/variant"


class _Run(Struct, frozen=True, kw_only=True):
    """One routine and policy, ready to be played over the days."""

    request: CompressionRequest
    """Without circumstances; its day is the first of the stretch."""
    tasks: tuple[SettledTask, ...]
    """Units in the exercise's own order."""


class _RunPlayed(Struct, frozen=True, kw_only=True):
    played: tuple[DayPlayed, ...]
    with_plans: Outcome
    without_plans: Outcome


def forecast(request: ForecastRequest, instruments: Instruments) -> ForecastAnswer:
    """Play a stretch of days through, with short-day plans and without.

    A usual day plays the whole routine, a short day the plan that `compress` makes of it with what the days
    before it played as its history, a day without time nothing.

    Parameters
    ----------
    request
        The routine, the days that are known, and the distribution that the others are drawn from.
    instruments
        The catalogues to look exercises up in.

    Returns
    -------
    ForecastAnswer
        Sums for all, each area and each task. The same request and the same instruments give the same bytes.

    Raises
    ------
    InvalidInputError
        Fields of the request are wrong, all of them; or there is too much to plan.
    NotShortError
        A share asked for is over a half.
    PluginError
        A plugin failed. Sums over days without its tasks would be those of another routine.
    """
    say = instruments.wording.speaker(request.locale)
    runs = _runs(request, instruments, say)
    days = days_of(request)
    refuse(errors_of_work(days, [run.tasks for run in runs]))
    base, *others = (_played(run, days, instruments, say) for run in runs)
    kinds = [day.kind for day in days]
    return ForecastAnswer(
        forecast=Forecast(
            made_with=_made_with(runs, instruments),
            assumptions=tuple(say(message) for message in assumptions_of(request)),
            date=request.date,
            days=request.days,
            usual_days=kinds.count("usual"),
            short_days=kinds.count("short"),
            no_time_days=kinds.count("no-time"),
            drawn=tuple(_drawn(request, days)),
            with_plans=base.with_plans,
            without_plans=base.without_plans,
            variant=_variant(base, others[0]) if others else None,
            stretch=tuple(
                ForecastDay(date=day.date, kind=day.kind, drawn=day.drawn, seconds=played.seconds)
                for day, played in zip(days, base.played, strict=True)
            ),
            warnings=tuple(notices_of(request, runs[0].tasks, base.with_plans, say)),
        )
    )


def _runs(request: ForecastRequest, instruments: Instruments, say: Say) -> list[_Run]:
    """The request's own run, and its variant's; all that is wrong in either, and in the days, is raised at once."""
    errors = list(errors_of_days(request))
    base = CompressionRequest(
        routine=request.routine,
        instrument=request.instrument,
        date=request.date,
        locale=request.locale,
        learner=request.learner,
        policy=request.policy,
    )
    requests = [base]
    variant = request.variant
    if variant is not None:
        requests.append(
            replace(base, routine=variant.routine or base.routine, policy=variant.policy or base.policy)
        )
    runs = []
    failed: list[FailedTask] = []
    for each in requests:
        try:
            reading = read_request(each, instruments, chosen_policy(each.policy), say)
        except InvalidInputError as error:
            errors.extend(error.errors if each is base else _errors_of_variant(request, error))
        else:
            failed.extend(reading.failed)
            runs.append(_Run(request=replace(each, history=request.history), tasks=reading.tasks))
    refuse(errors)
    refuse_failed(failed)
    return runs


def _errors_of_variant(request: ForecastRequest, error: InvalidInputError) -> Iterable[FieldError]:
    """What is wrong in the variant's own routine; what else there is, the request's own reading has found."""
    if request.variant is not None and request.variant.routine is not None:
        for wrong in error.errors:
            if wrong.pointer.startswith("/routine"):
                yield replace(wrong, pointer=_VARIANT_POINTER + wrong.pointer)


def _played(run: _Run, days: Sequence[Day], instruments: Instruments, say: Say) -> _RunPlayed:
    played = played_days(run.request, run.tasks, days, instruments)
    # Played anew: without the short days between them, usual days come to other units.
    without = played_days(run.request, run.tasks, [_without_plan(day) for day in days], instruments)
    stands_in = any(each.task == STAND_IN for today in played for each in today.tasks)
    stand_in = stand_in_task(run.request, instruments, say) if stands_in else None
    tasks = (stand_in, *run.tasks) if stand_in is not None else run.tasks
    kinds = [day.kind for day in days]
    return _RunPlayed(
        played=played,
        with_plans=outcome_of(tasks, kinds, played),
        without_plans=outcome_of(tasks, kinds, without),
    )


def _without_plan(day: Day) -> Day:
    return replace(day, kind="no-time") if day.kind == "short" else day


def _variant(base: _RunPlayed, variant: _RunPlayed) -> VariantForecast:
    return VariantForecast(
        with_plans=variant.with_plans,
        without_plans=variant.without_plans,
        differences=differences_of(base.with_plans, variant.with_plans),
    )


def _drawn(request: ForecastRequest, days: Sequence[Day]) -> Iterable[DrawnKind]:
    positions = [day.drawn for day in days]
    for position, kind in enumerate(request.distribution.kinds if request.distribution else ()):
        yield DrawnKind(kind=kind.kind, weight=kind.weight, days=positions.count(position))


def _made_with(runs: Sequence[_Run], instruments: Instruments) -> MadeWith:
    """What all runs were made with: the plugins of each, once."""
    each = [made_with(run.request, instruments) for run in runs]
    plugins = {plugin.name: plugin for made in each for plugin in made.plugins}
    return replace(each[0], plugins=tuple(plugins[name] for name in sorted(plugins)))
