"""Reading a request: ids, defaults and units settled, everything wrong in it collected at once."""

from collections import Counter
from collections.abc import Iterable, Sequence
from datetime import date

from msgspec import Struct
from msgspec.structs import replace

from bagatelle.catalogue.families import ordinary_family
from bagatelle.catalogue.instruments import Instruments
from bagatelle.catalogue.pitch_range import range_of_learner
from bagatelle.engine.bodies import body_of_task, title_of_exercise
from bagatelle.engine.budget import default_budget_seconds, playing_seconds_of, seconds_of
from bagatelle.engine.failed_tasks import FailedTask
from bagatelle.engine.identity import task_ids
from bagatelle.engine.known import Body, Known
from bagatelle.engine.names import told_apart
from bagatelle.engine.placing import PlacedTask, place_tasks, repeated_id
from bagatelle.engine.rotation import last_done_tasks, last_done_units
from bagatelle.engine.settled import SettledTask
from bagatelle.engine.settling import settle_task
from bagatelle.engine.specificity import minutes_findings
from bagatelle.engine.worth import is_near
from bagatelle.model.errors import FieldError, PluginError
from bagatelle.model.plan import Finding, Notice
from bagatelle.model.request import TASKS_LIMIT, Circumstances, CompressionRequest, HistoryEntry, Limits
from bagatelle.model.text import Message
from bagatelle.policy.table import Policy
from bagatelle.wording.render import Say
from bagatelle.wrong_fields import refuse


class Reading(Struct, frozen=True, kw_only=True):
    """A request with nothing left to look up."""

    tasks: tuple[SettledTask, ...]
    """In the order of blocks; within a block in ascending order of id."""
    findings: tuple[Finding, ...]
    notices: tuple[Notice, ...]
    days_away: int | None
    """As in `Known`."""
    failed: tuple[FailedTask, ...] = ()
    """Those whose plugin failed; they are not among the tasks."""

    @property
    def usual_seconds(self) -> int:
        """The usual time: the sum of the tasks' minutes, of those that failed too."""
        of_failed = sum(task.usual_seconds for task in self.failed)
        return of_failed + sum(task.usual_seconds for task in self.tasks)


class ReadTask(Struct, frozen=True, kw_only=True, gc=False):
    """A task of a request, with nothing of the day in it."""

    id: str
    placed: PlacedTask
    body: Body


class ReadRoutine(Struct, frozen=True, kw_only=True):
    """A request read as far as its circumstances have no part in it: the same for every kind of day."""

    known: Known
    tasks: tuple[ReadTask, ...]
    """As listed."""
    findings: tuple[Finding, ...]
    failed: tuple[FailedTask, ...] = ()
    """As in `Reading`."""


def read_request(request: CompressionRequest, instruments: Instruments, policy: Policy, say: Say) -> Reading:
    """Settle everything that a plan needs to know of the request.

    Raises
    ------
    InvalidInputError
        With every wrong field.
    """
    return reading_of(read_routine(request, instruments, policy, say), request.circumstances)


def read_routine(
    request: CompressionRequest, instruments: Instruments, policy: Policy, say: Say
) -> ReadRoutine:
    """Settle what no circumstances change.

    Raises
    ------
    InvalidInputError
        With every wrong field, those of the circumstances among them.
    """
    errors = list(_errors_of_request(request, instruments))
    placed = place_tasks(request.routine, errors)
    ids = task_ids([item.task for item in placed])
    errors.extend(_errors_of_ids(ids, placed))
    errors.extend(_errors_of_stages(placed))
    refuse(errors)

    usual_seconds = sum(seconds_of(item.minutes) for item in placed)
    known = _known(request, instruments, policy, say, usual_seconds)
    tasks: list[ReadTask] = []
    findings: list[Finding] = []
    failed: list[FailedTask] = []
    for task_id, item in zip(ids, placed, strict=True):
        try:
            found = body_of_task(task_id, item, known, errors)
        except PluginError as error:
            failed.append(_failed(task_id, item, error, known))
            continue
        if found is not None:
            body, of_task = found
            tasks.append(ReadTask(id=task_id, placed=item, body=body))
            findings.extend(of_task)
    refuse(errors)
    findings.extend(minutes_findings(placed, say))
    return ReadRoutine(known=known, tasks=tuple(tasks), findings=tuple(findings), failed=tuple(failed))


def _failed(task_id: str, placed: PlacedTask, error: PluginError, known: Known) -> FailedTask:
    exercise = known.instruments.exercise(error.item)
    return FailedTask(
        id=task_id,
        title=title_of_exercise(placed.task, exercise, known.say),
        pointer=placed.pointer,
        usual_seconds=seconds_of(placed.minutes),
        error=error,
    )


def reading_of(routine: ReadRoutine, circumstances: Circumstances) -> Reading:
    """Settle the rest, for a day of these circumstances."""
    request = replace(routine.known.request, circumstances=circumstances)
    known = replace(routine.known, request=request)
    in_order = sorted(
        (settle_task(task.id, task.placed, task.body, known) for task in routine.tasks),
        key=lambda task: (task.block_position, task.id),
    )
    settled = told_apart(in_order, known.say)
    ids = [*(task.id for task in routine.tasks), *(task.id for task in routine.failed)]
    return Reading(
        tasks=settled,
        findings=routine.findings,
        notices=tuple(_notices(request, ids, settled, known.say)),
        days_away=known.days_away,
        failed=routine.failed,
    )


def _known(
    request: CompressionRequest, instruments: Instruments, policy: Policy, say: Say, usual_seconds: int
) -> Known:
    day = request.date or date.max
    own_day = default_budget_seconds(usual_seconds, policy)
    done_tasks = last_done_tasks(request.history, day)
    days_away = (day - max(done_tasks.values())).days if done_tasks else 0
    return Known(
        request=request,
        instruments=instruments,
        policy=policy,
        say=say,
        done_units=last_done_units(request.history, day),
        done_tasks=done_tasks,
        days_away=days_away if days_away >= policy.away_days else None,
        anything_due=_anything_due(request, policy),
        day_seconds=playing_seconds_of(own_day, policy),
    )


def _anything_due(request: CompressionRequest, policy: Policy) -> bool:
    """Whether anything that may be planned is due soon."""
    day = request.date
    tasks = [task for block in request.routine.blocks for task in block.tasks if task.pin != "never"]
    return day is not None and any(
        is_near((task.due - day).days, policy) for task in tasks if task.due is not None
    )


def _errors_of_request(request: CompressionRequest, instruments: Instruments) -> Iterable[FieldError]:
    ids = sorted(instrument.id for instrument in instruments.instruments)
    instrument = request.instrument
    if instrument is not None and instrument not in ids and ordinary_family(instrument) is None:
        yield FieldError(
            pointer="/instrument",
            message=f"No loaded plugin knows the instrument {instrument!r}, and it is no ordinary name of one.",
            accepted=(
                f"One of: {', '.join(ids) or 'none is loaded'}; a name such as alto saxophone; or leave it out."
            ),
        )
    yield from _errors_of_limits(request.learner.limits)
    yield from errors_of_circumstances(request.circumstances, "/circumstances")
    tasks = [task for block in request.routine.blocks for task in block.tasks]
    if request.date is None and (request.history or any(task.due is not None for task in tasks)):
        yield FieldError(
            pointer="/date",
            message="The day of the plan is missing, and something is due or a history is given.",
            accepted="A date such as 2027-03-01.",
        )


def _errors_of_limits(limits: Limits) -> Iterable[FieldError]:
    learner = range_of_learner(limits)
    if learner.lowest is not None and learner.highest is not None and learner.lowest > learner.highest:
        yield FieldError(
            pointer="/learner/limits/highest_pitch",
            message=f"The highest pitch, {limits.highest_pitch}, is below the lowest, {limits.lowest_pitch}.",
            accepted=f"A pitch from {limits.lowest_pitch} up, or a lower lowest_pitch.",
        )


def errors_of_circumstances(circumstances: Circumstances, pointer: str) -> Iterable[FieldError]:
    """What is wrong with what one day gives."""
    if circumstances.windows and circumstances.minutes is not None:
        yield FieldError(
            pointer=f"{pointer}/minutes",
            message="Both minutes and windows are given.",
            accepted="Either the minutes of one window, or the windows.",
        )


def _errors_of_ids(ids: Sequence[str], placed: Sequence[PlacedTask]) -> Iterable[FieldError]:
    if len(placed) > TASKS_LIMIT:
        yield FieldError(
            pointer="/routine/blocks",
            message=f"The routine has {len(placed)} tasks.",
            accepted=f"At most {TASKS_LIMIT} tasks in all blocks together.",
        )
    counts = Counter(ids)
    for task_id, item in zip(ids, placed, strict=True):
        if counts[task_id] > 1:
            yield repeated_id(f"{item.pointer}/id", task_id, "task")


def _errors_of_stages(placed: Sequence[PlacedTask]) -> Iterable[FieldError]:
    for item in placed:
        if item.task.stage_since is not None and item.task.stage is None:
            yield FieldError(
                pointer=f"{item.pointer}/stage_since",
                message="The day from which the stage was set is given, and no stage.",
                accepted="A stage beside it, or neither.",
            )


def _notices(
    request: CompressionRequest, ids: Sequence[str], settled: Sequence[SettledTask], say: Say
) -> Iterable[Notice]:
    yield from unknown_in_history(request.history, ids, say)
    if request.date is not None and any(entry.date >= request.date for entry in request.history):
        text = Message("engine.warning.history-not-before-the-day")
        yield Notice(code="history-not-before-the-day", message=say(text))
    for task in settled:
        if task.due_days is not None and task.due_days < 0:
            text = Message("engine.warning.due-date-past", {"title": task.title})
            yield Notice(code="due-date-past", message=say(text))


def unknown_in_history(history: Iterable[HistoryEntry], ids: Iterable[str], say: Say) -> Iterable[Notice]:
    """A notice where the history names tasks that the routine does not have."""
    unknown = sorted({entry.task for entry in history} - set(ids))
    if unknown:
        text = Message("engine.warning.history-of-unknown-tasks", {"tasks": tuple(unknown)})
        yield Notice(code="history-of-unknown-tasks", message=say(text))
