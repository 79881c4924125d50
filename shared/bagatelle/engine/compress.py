"""Making a short-day plan: the whole computation, in the order in which the design describes it."""

from collections.abc import Mapping

from msgspec import Struct

from bagatelle.catalogue.instruments import Instruments
from bagatelle.engine.adjusting import for_the_day
from bagatelle.engine.answer import Made, plan_of
from bagatelle.engine.budget import Budget, budget_of
from bagatelle.engine.ladder import build_ladder
from bagatelle.engine.mental_work import hold_study
from bagatelle.engine.nothing_fits import nothing_fits
from bagatelle.engine.one_window import WindowSolver
from bagatelle.engine.problem import Item
from bagatelle.engine.reading import Reading, read_request
from bagatelle.engine.settled import SettledTask
from bagatelle.engine.solving import Solution, solve_day
from bagatelle.engine.specificity import Say
from bagatelle.engine.stand_in import stand_in_task
from bagatelle.engine.terms import Routine
from bagatelle.engine.version import ENGINE_VERSION
from bagatelle.engine.windows import BodyOrder
from bagatelle.model.errors import NothingAllowedError, NotSpecificError
from bagatelle.model.plan import CompressionAnswer, MadeWith, SpecificityAnswer
from bagatelle.model.request import CompressionRequest
from bagatelle.model.vocabulary import IN_HAND, STRAINS, Energy
from bagatelle.policy.table import POLICY_VERSION, Policy, chosen_policy


class PlannedDay(Struct, frozen=True, kw_only=True):
    """A day planned in numbers, before anything is put into words."""

    reading: Reading
    policy: Policy
    budget: Budget
    tasks: tuple[SettledTask, ...]
    """In the order of the routine; the stand-in first, where there is one."""
    items: Mapping[str, Item]
    """What the solver sees of each of these tasks, by id; of those too that are shut out."""
    solver: WindowSolver
    solution: Solution


def compress(request: CompressionRequest, instruments: Instruments) -> CompressionAnswer:
    """Make the short-day plan of a routine.

    Parameters
    ----------
    request
        The routine, what the day gives, what was done before.
    instruments
        The catalogues to look exercises up in.

    Returns
    -------
    CompressionAnswer
        The plan with its ladder, its reasons and its certificate. The same request and the same instruments
        give the same bytes, in whatever order tasks are listed within their blocks (pointers apart).

    Raises
    ------
    InvalidInputError
        Fields of the request are wrong; holds all of them.
    NotShortError
        The share asked for is over a half.
    NotSpecificError
        `strict` was asked for, and questions are open.
    NothingFitsError
        Not even the smallest piece of anything fits; a longer window would do.
    NoShortDayFitsError
        Nor would it fit any window that counts as short.
    NothingAllowedError
        Pins and limits leave no task to plan.
    """
    say = instruments.wording.speaker(request.locale)
    day = plan_day(request, instruments, say)
    made = Made(
        request=request,
        reading=day.reading,
        policy=day.policy,
        budget=day.budget,
        tasks=day.tasks,
        items=day.items,
        solution=day.solution,
        ladder=build_ladder(day.solver, day.reading.usual_seconds, measured=request.measure_ladder),
        made_with=made_with(request, instruments),
        say=say,
    )
    return CompressionAnswer(plan=plan_of(made))


def plan_day(request: CompressionRequest, instruments: Instruments, say: Say) -> PlannedDay:
    """Find the doses of a plan, and nothing beyond them: no ladder, no alternatives, no steps.

    It raises what `compress` raises.
    """
    policy = chosen_policy(request.policy)
    reading = read_request(request, instruments, policy, say)
    if request.strict and reading.findings:
        raise NotSpecificError(reading.findings)
    share_given = request.policy.share is not None
    budget = budget_of(reading.usual_seconds, request.circumstances, share_given=share_given, policy=policy)
    tasks = hold_study(for_the_day(reading.tasks, request.circumstances), policy)
    allowed = [task for task in tasks if task.shut_out is None]
    if not allowed:
        raise NothingAllowedError
    stand_in = stand_in_task(request, instruments, say)
    everything = (*((stand_in,) if stand_in is not None else ()), *tasks)
    items = {task.id: task.item() for task in everything}
    routine = Routine(
        items=tuple(sorted((items[task.id] for task in allowed), key=lambda item: item.id)),
        stand_in=items[stand_in.id] if stand_in is not None else None,
        policy=policy,
    )
    order = {task.id: body_order(task, request.circumstances.energy) for task in everything}
    solver = WindowSolver(routine)
    solution = solve_day(solver, budget, order.__getitem__)
    if solution is None:
        raise nothing_fits(allowed, budget, policy)
    return PlannedDay(
        reading=reading,
        policy=policy,
        budget=budget,
        tasks=everything,
        items=items,
        solver=solver,
        solution=solution,
    )


def check_specificity(request: CompressionRequest, instruments: Instruments) -> SpecificityAnswer:
    """Say which questions a routine leaves open, with a proposal for each; nothing is planned.

    Raises
    ------
    InvalidInputError
        Fields of the request are wrong; holds all of them.
    """
    policy = chosen_policy(request.policy)
    reading = read_request(request, instruments, policy, instruments.wording.speaker(request.locale))
    return SpecificityAnswer(specific=not reading.findings, findings=reading.findings)


def body_order(task: SettledTask, energy: Energy) -> BodyOrder:
    """The order that a body wants: what prepares, then low, moderate and high strain.

    Among what is alike to the body, on a day of low energy what is exact and in hand comes first, as it is
    begun most easily; then what is due soon, before time and attention run out; else the routine's own order.
    """
    rank = 0 if task.prepares else max(STRAINS.index(task.strain), STRAINS.index("low"))
    hard_to_begin = energy == "low" and not (task.concreteness == "exact" and task.stage in IN_HAND)
    return (rank, hard_to_begin, not task.near, task.block_position, task.id)


def made_with(request: CompressionRequest, instruments: Instruments) -> MadeWith:
    """The engine, the policy, and each plugin that had a part: its exercises, its stand-in, its proposals."""
    exercises = {
        task.exercise for block in request.routine.blocks for task in block.tasks if task.exercise is not None
    }
    instrument = instruments.instrument(request.instrument) if request.instrument is not None else None
    if instrument is not None:
        exercises.add(instrument.exercises[0].id)
    versions = {version.name: version for version in map(instruments.plugin_of, exercises)}
    return MadeWith(
        engine=ENGINE_VERSION,
        policy=POLICY_VERSION,
        plugins=tuple(versions[name] for name in sorted(versions)),
    )
