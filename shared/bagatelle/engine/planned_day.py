"""A day planned in numbers: which tasks, with which doses, in which windows. Neither ladder nor words."""

from collections.abc import Mapping, Sequence
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from bagatelle.catalogue.instruments import Instruments
from bagatelle.engine.adjusting import due_music_first, few_new, for_the_day, hold_rounds, own_warm_up
from bagatelle.engine.budget import Budget, budget_of, part_of, slack_of_day
from bagatelle.engine.day_of_visits import AT_REST, CLOSES, LAST, RANKS, BodyOrder
from bagatelle.engine.failed_tasks import refuse_failed
from bagatelle.engine.mental_work import hold_study
from bagatelle.engine.nothing_fits import nothing_fits
from bagatelle.engine.one_window import WindowSolver
from bagatelle.engine.problem import Item
from bagatelle.engine.reading import Reading, read_request
from bagatelle.engine.settled import SettledTask
from bagatelle.engine.solving import Solution, solve_day
from bagatelle.engine.stand_in import stand_in_task
from bagatelle.engine.terms import Routine
from bagatelle.model.errors import (
    NoShortDayFitsError,
    NothingAllowedError,
    NothingFitsError,
    NotSpecificError,
)
from bagatelle.model.exercise import Family
from bagatelle.model.request import CompressionRequest
from bagatelle.model.vocabulary import IN_HAND, TOUCH_AREAS, Energy
from bagatelle.policy.table import Policy, chosen_policy
from bagatelle.wording.render import Say

_BREATHED: Final[frozenset[Family]] = frozenset({"wind", "brass", "voice"})


class SettledDay(Struct, frozen=True, kw_only=True):
    """What a day is planned from: nothing left to look up, nothing searched for yet."""

    reading: Reading
    policy: Policy
    budget: Budget
    tasks: tuple[SettledTask, ...]
    """In the order of the routine; the stand-in first, where there is one."""
    items: Mapping[str, Item]
    """What the solver sees of each of these tasks, by id; of those too that are shut out."""
    routine: Routine
    of_the_kind: tuple[SettledTask, ...]
    """The tasks of the routine as a day of the kind has them, however long it is."""


class PlannedDay(Struct, frozen=True, kw_only=True):
    """A day planned in numbers, before anything is put into words."""

    reading: Reading
    policy: Policy
    budget: Budget
    tasks: tuple[SettledTask, ...]
    """As of `SettledDay`."""
    items: Mapping[str, Item]
    """As of `SettledDay`."""
    solver: WindowSolver
    solution: Solution


def plan_day(request: CompressionRequest, instruments: Instruments, say: Say) -> PlannedDay:
    """Find the doses of a plan, and nothing beyond them: no ladder, no alternatives, no steps.

    It raises what `compress` raises.
    """
    settled = settle_day(request, instruments, say)
    policy, budget = settled.policy, settled.budget
    order = {task.id: body_order(task, request.circumstances.energy) for task in settled.tasks}
    solver = WindowSolver(settled.routine)
    solution = solve_day(solver, budget, order.__getitem__)
    if solution is None:
        raise nothing_holds(settled, request)
    return PlannedDay(
        reading=settled.reading,
        policy=policy,
        budget=budget,
        tasks=settled.tasks,
        items=settled.items,
        solver=solver,
        solution=solution,
    )


def nothing_holds(settled: SettledDay, request: CompressionRequest) -> NothingFitsError | NoShortDayFitsError:
    """The error to raise where the day holds nothing of what it allows."""
    allowed = [task for task in settled.tasks if task.shut_out is None and not task.stand_in]
    slack = slack_of_day(request.circumstances, settled.policy)
    return nothing_fits(allowed, settled.budget, slack, settled.policy)


def settle_day(request: CompressionRequest, instruments: Instruments, say: Say) -> SettledDay:
    """Read the request, and find what of its tasks the day allows, and how much of each.

    It raises what `compress` raises, but for what the search finds out.
    """
    policy = chosen_policy(request.policy)
    reading = read_request(request, instruments, policy, say)
    return settle_reading(reading, policy, request, instruments, say)


def settle_reading(
    reading: Reading, policy: Policy, request: CompressionRequest, instruments: Instruments, say: Say
) -> SettledDay:
    """As `settle_day`, of a request that was read before."""
    if request.strict and reading.findings:
        raise NotSpecificError(reading.findings)
    policy = _policy_of_day(policy, request)
    share_given = request.policy.share is not None
    # With little energy, or after a long time away, a longer day is no reason for more.
    is_away = reading.days_away is not None
    held = share_given or is_away or request.circumstances.energy == "low"
    budget = budget_of(reading.usual_seconds, request.circumstances, held_to_share=held, policy=policy)
    is_long = budget.seconds > part_of(budget.usual_seconds, policy.warned_share)
    of_the_day = for_the_day(reading.tasks, request.circumstances, is_away=is_away, is_long=is_long)
    if any(task.shut_out is None for task in of_the_day):
        of_the_day = few_new(of_the_day, _begun(request), policy)
    tasks = held_to(of_the_day, budget.seconds, budget.usual_seconds, request, policy)
    allowed = [task for task in tasks if task.shut_out is None]
    if not allowed:
        refuse_failed(reading.failed)
        raise NothingAllowedError
    stand_in = stand_in_task(request, instruments, say)
    everything = (*((stand_in,) if stand_in is not None else ()), *tasks)
    items = {task.id: task.item() for task in everything}
    routine = Routine(
        items=tuple(sorted((items[task.id] for task in allowed), key=lambda item: item.id)),
        stand_in=items[stand_in.id] if stand_in is not None else None,
        policy=policy,
        own_warm_up=own_warm_up(tasks),
        slack=budget.slack,
    )
    return SettledDay(
        reading=reading,
        policy=policy,
        budget=budget,
        tasks=everything,
        items=items,
        routine=routine,
        of_the_kind=of_the_day,
    )


def _policy_of_day(policy: Policy, request: CompressionRequest) -> Policy:
    if len(request.circumstances.windows) < 2 or request.policy.seconds_per_task is not None:
        return policy
    return replace(policy, seconds_per_task=policy.seconds_per_task_in_scraps)


def held_to(
    tasks: Sequence[SettledTask],
    budget_seconds: int,
    usual_seconds: int,
    request: CompressionRequest,
    policy: Policy,
) -> tuple[SettledTask, ...]:
    """The tasks, each held to as much as a day of that budget may hold of it."""
    held = hold_rounds(tasks, budget_seconds, usual_seconds, policy)
    return due_music_first(hold_study(held, request.circumstances, policy))


def _begun(request: CompressionRequest) -> frozenset[str]:
    """The tasks that were done before the day."""
    day = request.date
    return frozenset(entry.task for entry in request.history if day is None or entry.date < day)


def body_order(task: SettledTask, energy: Energy) -> BodyOrder:
    """The order that a body wants: what prepares, a warm-up first, then low strain, none, moderate and high.

    A warm-down follows what strains, and what no hand, lip or voice does comes last: before what strains it would
    leave the body cold again.

    Among what is alike to the body, on a day of low energy what is exact and in hand comes first, as it is
    begun most easily; then what is due soon, before time and attention run out; else the routine's own order. Of
    what strains, tone and technique come before all that, as they want fresh hands; lips and voices want it of the
    rest, too, and what is loud last.
    """
    if task.prepares or (task.area == "warm-up" and task.at_rest):
        return (0, False, int(task.area != "warm-up"), task.block_position, task.id)
    hard_to_begin = energy == "low" and not (task.concreteness == "exact" and task.stage in IN_HAND)
    return (_rank(task), hard_to_begin, _turn(task), task.block_position, task.id)


def _rank(task: SettledTask) -> int:
    if task.area == "warm-down":
        return LAST if task.at_rest else CLOSES
    return AT_REST if task.at_rest else RANKS[task.strain]


def _turn(task: SettledTask) -> int:
    """Its turn among what is alike to the body."""
    breathed = task.family in _BREATHED
    if task.area in TOUCH_AREAS and (task.strains or breathed):
        return -1
    loud = breathed and task.loudness == "loud"
    return 2 * loud + (not task.near)
