"""Preparing cards: what takes a plugin and a search is done here, once for each routine."""

from collections.abc import Iterable, Mapping, Sequence
from typing import Final, NamedTuple

from msgspec.structs import replace

from bagatelle.card.kinds import CIRCUMSTANCES, KINDS
from bagatelle.card.task_cards import TaskWording, card_task, first_alike, longest_by_time
from bagatelle.card.tired_day import largest_seconds, tired_day, tired_order
from bagatelle.catalogue.instruments import Instruments
from bagatelle.engine.body import sore_cautions
from bagatelle.engine.budget import part_of, slack_of_day
from bagatelle.engine.candidates import Curve
from bagatelle.engine.compress import made_with
from bagatelle.engine.failed_tasks import refuse_failed
from bagatelle.engine.ladder import Prepared, lift_of, prepared_plan, prepared_plans, rungs_of
from bagatelle.engine.one_window import WindowSolver
from bagatelle.engine.planned_day import SettledDay, body_order, held_to, nothing_holds, settle_reading
from bagatelle.engine.reading import ReadRoutine, read_routine, reading_of
from bagatelle.engine.steps import duration
from bagatelle.engine.terms import Routine
from bagatelle.model.card import Card, CardKind, CardNumbers, CardSet, CardTexts, Lift, PreparedDoses
from bagatelle.model.errors import NoShortDayFitsError, NothingAllowedError, NothingFitsError
from bagatelle.model.exercise import Family
from bagatelle.model.request import Circumstances, CompressionRequest
from bagatelle.model.text import Message
from bagatelle.policy.table import chosen_policy
from bagatelle.wording.render import Say

_SHORTER_BUDGETS: Final = (60, 120, 180, 240)
"""Beside those of the ladder: a day that is shorter still holds the smallest piece of something."""
_FEW_SHORTER_BUDGETS: Final = (60, 180)
_WHOLE_LADDER: Final[frozenset[CardKind]] = frozenset({"usual", "scraps"})
_FEW_BUDGETS: Final = (300, 600, 900, 1200)
"""For days that come less often; more are prepared between two where a walk would fall far behind."""
_SCRAP_SECONDS: Final = 300
_MOST_SCRAPS: Final = 6
_WHOLE: Final = 1000


class _Kind(NamedTuple):
    """All that was worked out for one kind of day."""

    request: CompressionRequest
    """With the circumstances of the kind and no history."""
    day: SettledDay
    solver: WindowSolver
    """Of days that give a time, so that a part of it stays free."""
    prepared: tuple[PreparedDoses, ...]
    rungs: tuple[Lift, ...]
    quarter: PreparedDoses
    largest_seconds: Mapping[str, int]
    """Task id -> the most that the longest day may hold of it."""
    instruments: Instruments
    say: Say


def prepare(request: CompressionRequest, instruments: Instruments, kind: CardKind) -> Card:
    """Make the card of one kind of hard day.

    Of the request neither circumstances nor history are looked at; its date matters to what is due alone.

    Raises
    ------
    InvalidInputError, NotShortError, NotSpecificError
        As of `compress`.
    NothingAllowedError, NothingFitsError, NoShortDayFitsError
        The routine gives nothing for this kind of day.
    PluginError
        A plugin failed. A card is kept for weeks, and would lack its tasks for as long.
    """
    read = _read(request, instruments)
    return _card(_work_out(read, kind), kind, TaskWording(instruments))


def prepare_all(
    request: CompressionRequest, instruments: Instruments, kinds: Sequence[CardKind] = KINDS
) -> CardSet:
    """Make the cards of several kinds, with what is the same in them worked out once.

    A kind that the routine gives nothing for is named, and has no card. Raises what `prepare` raises otherwise.
    """
    made: dict[Circumstances, Card | None] = {}
    read = _read(request, instruments)
    wording = TaskWording(instruments)
    for kind in kinds:
        circumstances = CIRCUMSTANCES[kind]
        if circumstances not in made:
            made[circumstances] = _card_or_none(read, kind, wording)
    found = [(kind, made[CIRCUMSTANCES[kind]]) for kind in kinds]
    return CardSet(
        cards=tuple(_of_kind(card, kind) for kind, card in found if card is not None),
        empty_kinds=tuple(kind for kind, card in found if card is None),
    )


def _read(request: CompressionRequest, instruments: Instruments) -> ReadRoutine:
    """The request without its circumstances and its history: once for all kinds."""
    request = replace(request, circumstances=Circumstances(), history=(), measure_ladder=False)
    say = instruments.wording.speaker(request.locale)
    read = read_routine(request, instruments, chosen_policy(request.policy), say)
    refuse_failed(read.failed)
    return read


def _card_or_none(read: ReadRoutine, kind: CardKind, wording: TaskWording) -> Card | None:
    try:
        return _card(_work_out(read, kind), kind, wording)
    except (NothingAllowedError, NothingFitsError, NoShortDayFitsError):
        return None


def _of_kind(card: Card, kind: CardKind) -> Card:
    """The card of another kind of the same circumstances: only its quarter falls into other windows."""
    if card.kind == kind:
        return card
    return replace(card, kind=kind, quarter_windows=_quarter_windows(card.quarter_seconds, kind))


def _work_out(read: ReadRoutine, kind: CardKind) -> _Kind:
    known = read.known
    request = replace(known.request, circumstances=CIRCUMSTANCES[kind])
    reading = reading_of(read, request.circumstances)
    day = settle_reading(reading, known.policy, request, known.instruments, known.say)
    if request.circumstances.energy == "low":
        day = tired_day(day)
    solver = WindowSolver(_routine_of_ladder(day, request, kind))
    usual_seconds = day.budget.usual_seconds
    of_ladder = prepared_plans(solver, usual_seconds)
    if not of_ladder:
        raise nothing_holds(day, request)
    # The ladder first: where the search for its prices begins hangs on what was searched for before.
    rungs = rungs_of(solver, usual_seconds, of_ladder)
    longest = _longest_day(day, request) if kind in _WHOLE_LADDER else {}
    return _Kind(
        request=request,
        day=day,
        solver=solver,
        prepared=tuple(
            _shown(plan, solver.curves, day) for plan in (*_shorter(solver, of_ladder, kind), *of_ladder)
        ),
        rungs=(
            *(Lift(task=rung.task, seconds=rung.to_seconds) for rung in rungs),
            *_more_rounds(solver, longest),
        ),
        quarter=_quarter(day),
        largest_seconds={
            task: max(curve.item.largest_seconds, longest[task].item.largest_seconds)
            if task in longest
            else curve.item.largest_seconds
            for task, curve in solver.curves.items()
        },
        instruments=known.instruments,
        say=known.say,
    )


def _routine_of_ladder(day: SettledDay, request: CompressionRequest, kind: CardKind) -> Routine:
    """The routine as days have it that give a time, so that a part of it stays free."""
    policy = day.policy
    if kind not in _WHOLE_LADDER:
        policy = replace(policy, prepared_budgets_seconds=_FEW_BUDGETS)
    return replace(day.routine, policy=policy, slack=slack_of_day(request.circumstances, policy))


def _shorter(solver: WindowSolver, of_ladder: Sequence[Prepared], kind: CardKind) -> Iterable[Prepared]:
    for budget in _SHORTER_BUDGETS if kind in _WHOLE_LADDER else _FEW_SHORTER_BUDGETS:
        if budget < of_ladder[0].budget_seconds:
            prepared = prepared_plan(solver, budget)
            if prepared is not None:
                yield prepared


def _quarter(day: SettledDay) -> PreparedDoses:
    """The plan of a day that gives no time: nothing of it is left free, as nothing ends it."""
    solver = WindowSolver(day.routine)
    prepared = prepared_plan(solver, day.budget.seconds)
    if prepared is None:
        return PreparedDoses(budget_seconds=day.budget.seconds, floor_mode="usual", lifts=())
    return _shown(prepared, solver.curves, day)


def _shown(plan: Prepared, curves: Mapping[str, Curve], day: SettledDay) -> PreparedDoses:
    """What prepares is placed first, in the order of the body; then music, so that it finds room in short gaps."""
    tasks = {task.id: task for task in day.tasks}
    lifts = [
        rung for _, rung in sorted(lift_of(curves[task], 0, n) for task, n in plan.optimum.doses.items())
    ]
    prepare = [rung for rung in lifts if tasks[rung.task].prepares]
    others = [rung for rung in lifts if not tasks[rung.task].prepares]
    ordered = (
        *sorted(prepare, key=lambda rung: body_order(tasks[rung.task], "usual")),
        *sorted(others, key=lambda rung: not tasks[rung.task].music),
    )
    return PreparedDoses(
        budget_seconds=plan.budget_seconds,
        floor_mode=plan.floor_mode,
        lifts=tuple(Lift(task=rung.task, seconds=rung.to_seconds) for rung in ordered),
    )


def _longest_day(day: SettledDay, request: CompressionRequest) -> dict[str, Curve]:
    """The tasks that are held to a number of rounds, as the longest day holds them: the usual day's rounds.

    What strains most goes round as often as on a half of it, at most.
    """
    usual_seconds, policy = day.budget.usual_seconds, day.policy
    half = part_of(usual_seconds, policy.largest_share)
    counted = {task.id: task for task in day.of_the_kind if task.rounds_held_from is not None}
    if not counted:
        return {}
    found = {}
    for budget, is_for in ((half, {"high"}), (usual_seconds, {"none", "low", "moderate"})):
        for task in held_to(day.of_the_kind, budget, usual_seconds, request, policy):
            if task.id in counted and task.strain in is_for and task.shut_out is None:
                found[task.id] = Curve(task.item(), policy.curve)
    return found


def _more_rounds(solver: WindowSolver, longest: Mapping[str, Curve]) -> Iterable[Lift]:
    """Rungs above those of the ladder, for a long day that has nothing else left."""
    lifts = [
        lift_of(curve, solver.curves[task].scale.largest_units, curve.scale.largest_units)
        for task, curve in longest.items()
        if task in solver.curves and curve.scale.largest_units > solver.curves[task].scale.largest_units
    ]
    return [Lift(task=rung.task, seconds=rung.to_seconds) for _, rung in sorted(lifts)]


def _card(found: _Kind, kind: CardKind, wording: TaskWording) -> Card:
    day, say = found.day, found.say
    energy = found.request.circumstances.energy
    allowed = [task for task in day.tasks if task.shut_out is None]
    in_order = sorted(allowed, key=lambda task: body_order(task, energy))
    largest = dict(found.largest_seconds)
    if energy == "low":
        in_order.sort(key=tired_order)
        largest |= {task.id: largest_seconds(task, largest[task.id], day.policy) for task in in_order}
    alike = first_alike(in_order, day.items)
    tasks = tuple(
        card_task(
            task,
            day.items[task.id],
            wording.of(task, say, largest[task.id]),
            alike[task.id],
            largest[task.id],
        )
        for task in in_order
    )
    family: Family = next((task.family for task in day.tasks if task.family != "none"), "none")
    return Card(
        kind=kind,
        locale=found.request.locale,
        made_with=made_with(found.request, found.instruments),
        usual_seconds=day.budget.usual_seconds,
        quarter_seconds=day.budget.seconds,
        quarter_windows=_quarter_windows(day.budget.seconds, kind),
        numbers=_numbers(found),
        tasks=tasks,
        quarter=found.quarter,
        prepared=found.prepared,
        rungs=found.rungs,
        cautions=tuple(say(caution) for caution in sore_cautions(found.request.circumstances, family)),
        texts=_texts(found, longest_by_time(tasks)),
    )


def _quarter_windows(quarter_seconds: int, kind: CardKind) -> tuple[int, ...]:
    """One window; in scraps, windows of five minutes or little more, the last of which takes the rest."""
    count = min(quarter_seconds // _SCRAP_SECONDS, _MOST_SCRAPS) if kind == "scraps" else 1
    if count < 2:
        return (quarter_seconds,)
    each = quarter_seconds // count
    return (*(each,) * (count - 1), quarter_seconds - (count - 1) * each)


def _numbers(found: _Kind) -> CardNumbers:
    policy, energy = found.day.policy, found.request.circumstances.energy
    usual_seconds = found.day.budget.usual_seconds
    things = found.solver.wishes.whole_seconds
    is_low = energy == "low"
    return CardNumbers(
        slack_thousandths=round(policy.slack_shares[energy] * _WHOLE),
        least_slack_seconds=policy.least_slack_seconds,
        rest_from_seconds=policy.rest_from_seconds,
        playing_seconds=policy.playing_seconds,
        rest_seconds=policy.rest_seconds,
        seconds_per_thing=policy.seconds_per_task,
        least_things=policy.least_task_limit,
        # Of short tunes too a tired day holds few.
        usual_things=0 if is_low else len(things),
        usual_things_seconds=sum(things),
        short_seconds=max(
            part_of(usual_seconds, policy.largest_share), min(policy.least_budget_seconds, usual_seconds)
        ),
        most_seconds=found.day.budget.seconds if is_low else None,
        first_seconds=policy.low_energy_first_seconds if is_low else None,
    )


def _texts(found: _Kind, longest_by_time_seconds: int) -> CardTexts:
    say = found.say
    is_low = found.request.circumstances.energy == "low"
    longest = max(longest_by_time_seconds, found.day.policy.rest_seconds)
    return CardTexts(
        cold_caution=say(Message("engine.caution.cold")),
        unprepared_caution=say(Message("engine.caution.unprepared")),
        sound_caution=say(Message("engine.caution.sound")),
        rest_what=say(Message("engine.rest.what")),
        rest_how=say(Message("engine.rest.how")),
        rest_done_when=say(Message("engine.rest.done-when")),
        no_short_day=say(Message("engine.sheet.no-short-day")),
        most_seconds_reached=say(Message("engine.sheet.little-energy")) if is_low else "",
        nothing_fits=say(Message("engine.sheet.nothing-fits")),
        floor_chunk=say(Message("engine.sheet.floor-chunk")),
        floor_unit=say(Message("engine.sheet.floor-unit")),
        durations=tuple(say(duration(30 * halves)) for halves in range(1, (longest + 44) // 30)),
    )
