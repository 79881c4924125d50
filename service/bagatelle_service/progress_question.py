"""What is asked of the engine about a student's progress: routines are read, progress is computed, offers are made.

It takes what was stored, in numbers and words, and knows no database.
"""

from collections.abc import Iterable, Mapping
from datetime import date

from bagatelle import Instruments
from bagatelle.engine.identity import task_ids
from bagatelle.engine.own_task import likely_area
from bagatelle.engine.placing import PlacedTask, place_tasks
from bagatelle.engine.reading import read_request
from bagatelle.engine.settled import SettledTask
from bagatelle.json_pointer import pointer_to
from bagatelle.model.errors import InvalidInputError
from bagatelle.model.plan import PatchOperation
from bagatelle.model.progress import Offer, PracticeFacts, Progress, TaskFacts
from bagatelle.model.request import CompressionRequest, Locale
from bagatelle.model.vocabulary import Area, Pin
from bagatelle.policy.table import Policy, chosen_policy
from bagatelle.progress.progress import offers_of, progress_of
from msgspec import Struct
from msgspec.structs import replace


class TaskInUse(Struct, frozen=True, kw_only=True):
    """A task that a routine has now."""

    id: str
    since: date
    """The student's day on which it first came into the routine."""


class RoutineInUse(Struct, frozen=True, kw_only=True):
    """A routine that a student has now."""

    id: str
    request: CompressionRequest
    """Of a plan of it, as it stands."""
    tasks: dict[str, TaskInUse]
    """By their keys."""


class PlanInUse(Struct, frozen=True, kw_only=True):
    """The plan that stands ready where a day says nothing, with what was chosen for it alone."""

    id: str
    routine: str
    pins: dict[str, Pin]
    """By the keys of tasks."""
    has_share: bool


class ProgressQuestion(Struct, frozen=True, kw_only=True):
    """Everything that a student's progress is made from."""

    facts: PracticeFacts
    """Tasks are those alone that no routine has any more; the logs reach back to the offers' first day at least."""
    routines: tuple[RoutineInUse, ...]
    plan: PlanInUse | None
    offers_from: date
    """Offers stand on the days from here to today, whatever stretch is asked for."""
    locale: Locale


class CurrentTask(Struct, frozen=True, kw_only=True):
    """A task that a routine has now, as the engine reads it."""

    id: str
    title: str
    area: Area | None


class OfferFound(Struct, frozen=True, kw_only=True):
    """A change that there is evidence for, and what would carry it out."""

    offer: Offer
    routine: str | None
    """Whose content the patch is of."""
    plan: str | None
    """Whose choices the patch is of, where they stand in the routine's place."""
    patch: tuple[PatchOperation, ...]


class ProgressFound(Struct, frozen=True, kw_only=True):
    """The answer."""

    progress: Progress
    tasks: tuple[CurrentTask, ...]
    offers: tuple[OfferFound, ...]
    """All, answered or not, the most important first."""


class _ReadTask(Struct, frozen=True, kw_only=True):
    """A task with what progress asks of it, and where it stands."""

    facts: TaskFacts
    routine: RoutineInUse
    key: str
    placed: PlacedTask


def find_progress(question: ProgressQuestion, instruments: Instruments) -> ProgressFound:
    """Compute a student's progress, with the offers of the last weeks."""
    say = instruments.wording.speaker(question.locale)
    read = {
        task.facts.id: task
        for routine in question.routines
        for task in _read(routine, question.plan, instruments)
    }
    facts = replace(question.facts, tasks=(*(task.facts for task in read.values()), *question.facts.tasks))
    of_late = replace(facts, first_day=question.offers_from, last_day=None)
    offers = offers_of(of_late, say)
    progress = progress_of(facts, say)
    return ProgressFound(
        progress=replace(
            progress, offer=next((offer for offer in offers if offer.key not in facts.answered), None)
        ),
        tasks=tuple(
            CurrentTask(id=task.facts.id, title=task.facts.title, area=task.facts.area)
            for task in read.values()
        ),
        offers=tuple(
            found for offer in offers if (found := _carried_out(offer, read, question.plan)) is not None
        ),
    )


def _read(routine: RoutineInUse, plan: PlanInUse | None, instruments: Instruments) -> Iterable[_ReadTask]:
    """Read a routine's tasks; what no loaded plugin can read any more is told from the routine's own words."""
    # Tasks without usual minutes were refused when it was stored.
    placed = place_tasks(routine.request.routine, [])
    policy = chosen_policy(routine.request.policy)
    settled = _settled(routine.request, instruments, policy)
    for key, each in zip(task_ids([item.task for item in placed]), placed, strict=True):
        in_use = routine.tasks.get(key)
        if in_use is not None:
            facts = _facts(in_use, each, settled.get(key), policy)
            pin = _chosen_pin(routine, key, plan) or facts.pin
            yield _ReadTask(facts=replace(facts, pin=pin), routine=routine, key=key, placed=each)


def _settled(
    request: CompressionRequest, instruments: Instruments, policy: Policy
) -> Mapping[str, SettledTask]:
    say = instruments.wording.speaker(request.locale)
    try:
        return {task.id: task for task in read_request(request, instruments, policy, say).tasks}
    except InvalidInputError:
        # It was right when it was stored: an exercise, or a setting of it, has gone with its plugin since.
        return {}


def _facts(in_use: TaskInUse, placed: PlacedTask, settled: SettledTask | None, policy: Policy) -> TaskFacts:
    task = placed.task
    cadence_days = task.cadence_days
    if settled is None:
        given = task.area or placed.block.area
        title, area = placed.title, given or (None if task.exercise else likely_area(placed.title))
        units = [passage.id for passage in task.passages]
    else:
        title, area = settled.title, settled.area
        units = [unit.id for unit in sorted(settled.units, key=lambda unit: unit.place)]
        if cadence_days is None and settled.exercise is not None:
            cadence_days = settled.exercise.cadence_days
    return TaskFacts(
        id=in_use.id,
        title=title,
        area=area,
        since=in_use.since,
        stage=task.stage,
        stage_since=task.stage_since,
        cadence_days=cadence_days or policy.usual_cadence_days,
        pin=task.pin,
        units=tuple(units),
    )


def _carried_out(offer: Offer, read: Mapping[str, _ReadTask], plan: PlanInUse | None) -> OfferFound | None:
    if offer.task is None:
        return None if plan is None else _shorter_plan(offer, plan)
    task, pin = read[offer.task], offer.change.pin
    if plan is not None and pin is not None and _chosen_pin(task.routine, task.key, plan) is not None:
        choice = PatchOperation(op="add", path=pointer_to(["pins", task.key]), value=pin)
        return OfferFound(offer=offer, routine=None, plan=plan.id, patch=(choice,))
    return OfferFound(offer=offer, routine=task.routine.id, plan=None, patch=_patch_of_task(offer, task))


def _shorter_plan(offer: Offer, plan: PlanInUse) -> OfferFound:
    """What makes a plan shorter: the share of its routine, unless one was chosen for the plan itself."""
    path = "/share" if plan.has_share else "/policy/share"
    return OfferFound(
        offer=offer,
        routine=None if plan.has_share else plan.routine,
        plan=plan.id if plan.has_share else None,
        patch=(PatchOperation(op="add", path=path, value=offer.change.share),),
    )


def _chosen_pin(routine: RoutineInUse, key: str, plan: PlanInUse | None) -> Pin | None:
    """The pin that was chosen for the plan itself; it stands in the place of the routine's."""
    return plan.pins.get(key) if plan is not None and plan.routine == routine.id else None


def _patch_of_task(offer: Offer, task: _ReadTask) -> tuple[PatchOperation, ...]:
    change = offer.change
    wanted = {
        "pin": change.pin,
        "stage": change.stage,
        "stage_since": None if change.stage_since is None else change.stage_since.isoformat(),
    }
    changes = {name: value for name, value in wanted.items() if value is not None}
    if task.placed.alone:
        # A block without tasks has no such fields: it gets the one task that it counted as, under its key.
        only = {"id": task.key, "title": task.placed.title, **changes}
        return (PatchOperation(op="add", path=f"{task.placed.pointer}/tasks", value=[only]),)
    return tuple(
        PatchOperation(op="add", path=f"{task.placed.pointer}/{name}", value=value)
        for name, value in changes.items()
    )
