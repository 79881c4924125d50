"""What a day changes in a whole routine: what it shuts out, how often a thing goes round, what stands for music."""

from collections.abc import Callable, Collection, Sequence

from msgspec.structs import replace

from bagatelle.engine.settled import SettledTask
from bagatelle.model.request import Circumstances
from bagatelle.model.vocabulary import IN_HAND, SHORT_AREAS, TOUCH_AREAS
from bagatelle.policy.table import Policy


def for_the_day(
    tasks: Sequence[SettledTask], circumstances: Circumstances, *, is_away: bool, is_long: bool
) -> tuple[SettledTask, ...]:
    """The tasks as the day has them.

    After a long time away, all that strains or is new is left out while anything else may be planned; with low
    energy, high strain, of what is then left. Tone and technique of high strain is for days of more than a third
    of the usual time, with room to warm up to it and to rest after it (common practice, no source), unless it is
    due soon or asked for by a pin. So is improvising for days with focus.
    """
    if is_away:
        reason = "engine.reason.after-a-gap"
        tasks = _without(_without(tasks, lambda task: task.strains, reason), _is_new_and_not_due, reason)
    if circumstances.energy == "low":
        tasks = _without(tasks, lambda task: task.strain == "high", "engine.reason.low-energy")
    if circumstances.focus == "low":
        tasks = _without(tasks, _wants_ideas, "engine.reason.wants-ideas")
    if not is_long and any(_is_work(task) and not _wants_a_long_day(task) for task in tasks):
        tasks = _without(tasks, _wants_a_long_day, "engine.reason.wants-a-long-day")
    return tuple(tasks)


def few_new(tasks: Sequence[SettledTask], begun: Collection[str], policy: Policy) -> tuple[SettledTask, ...]:
    """The tasks, with a few new things at most: what was begun first, then what counts most.

    What is due soon, asked for by a pin or prepares is not counted, and what is quickest to do stays, so that no
    day is too short for what it held before. Common practice, no source.
    """
    allowed = [task for task in tasks if task.shut_out is None]
    new = [
        task
        for task in allowed
        if _is_new_and_not_due(task) and task.pin not in {"always", "more"} and not task.prepares
    ]
    ranked = sorted(new, key=lambda task: (task.id not in begun, -task.weight, task.id))
    quickest = min(allowed, key=lambda task: (task.set_up_seconds + task.units[0].time.seconds, task.id))
    surplus = {task.id for task in ranked[policy.most_new :]} - {quickest.id}
    return tuple(
        replace(task, shut_out="engine.reason.enough-new") if task.id in surplus else task for task in tasks
    )


def hold_rounds(
    tasks: Sequence[SettledTask], budget_seconds: int, usual_seconds: int, policy: Policy
) -> tuple[SettledTask, ...]:
    """The tasks, held to the learner's own number of passes, where there is one.

    On a quarter of the time a quarter of the rounds of the usual day, in whole rounds, and one at least: what is
    left goes to other things. Only where as many things as the day may hold, of all that is in hand or due, would
    not fill it so, it goes round again, and never what strains most. More time never means fewer rounds. Common
    practice, no source.
    """
    again = _rounds_to_fill(tasks, budget_seconds, policy)

    def held(task: SettledTask, rounds_held_from: int) -> SettledTask:
        share = task.usual_seconds * budget_seconds // (task.round_seconds * usual_seconds)
        rounds = max(share, rounds_held_from, 1 if task.strain == "high" else again)
        held_seconds = task.round_seconds * rounds
        return replace(task, cap_seconds=min(held_seconds, task.cap_seconds or held_seconds))

    return tuple(
        task if task.rounds_held_from is None else held(task, task.rounds_held_from) for task in tasks
    )


def _rounds_to_fill(tasks: Sequence[SettledTask], budget_seconds: int, policy: Policy) -> int:
    """So many rounds of what is in hand or due fill the time; of what is not counted, its usual time counts."""
    ready = [task for task in tasks if task.shut_out is None and (task.near or task.stage in IN_HAND)]
    counted = [task for task in ready if task.rounds_held_from is not None]
    most = max((-(-task.usual_seconds // task.round_seconds) for task in counted), default=1)
    return next(
        (
            rounds
            for rounds in range(1, most)
            if _longest([_seconds_of_rounds(task, rounds) for task in ready], budget_seconds, policy)
            >= budget_seconds
        ),
        most,
    )


def _longest(seconds: Sequence[int], budget_seconds: int, policy: Policy) -> int:
    """What the longest come to, as many as the day may hold, and one that prepares.

    Of a part of a thing, that part counts: where a whole one came in at once, a little more time would mean fewer
    rounds.
    """
    each = policy.seconds_per_task
    whole, part = divmod(max(budget_seconds, policy.least_task_limit * each) + each, each)
    longest = sorted(seconds, reverse=True)
    return sum(longest[:whole]) + sum(longest[whole : whole + 1]) * part // each


def _seconds_of_rounds(task: SettledTask, rounds: int) -> int:
    most = min(task.usual_seconds, task.cap_seconds or task.usual_seconds)
    if task.rounds_held_from is not None:
        rounds = 1 if task.strain == "high" else rounds
        most = min(most, task.round_seconds * max(rounds, task.rounds_held_from))
    return most + task.set_up_seconds


def due_music_first(tasks: Sequence[SettledTask]) -> tuple[SettledTask, ...]:
    """The tasks, with the music of the day for what is due: where a piece is due soon, no other stands for it."""
    due = any(task.music and task.near and task.shut_out is None for task in tasks)
    return tuple(
        replace(task, yields_to_due=True) if due and task.music and not task.near else task for task in tasks
    )


def own_warm_up(tasks: Sequence[SettledTask]) -> str | None:
    """The warm-up of the routine that opens the day: the first of its own, where something else is played.

    What is pinned always is kept anyway. Nothing to warm up for, no warm-up.
    """
    allowed = [task for task in tasks if task.shut_out is None]
    if all(task.strain == "none" or task.area == "warm-up" for task in allowed):
        return None
    first = next((task for task in allowed if task.area == "warm-up" and task.prepares), None)
    return first.id if first is not None and first.pin != "always" else None


def _is_work(task: SettledTask) -> bool:
    """Whether it may be planned and is more than a preparation or a warm-down."""
    return task.shut_out is None and task.area not in SHORT_AREAS


def _wants_a_long_day(task: SettledTask) -> bool:
    return task.strain == "high" and task.area in TOUCH_AREAS and not _is_asked_for(task)


def _wants_ideas(task: SettledTask) -> bool:
    return task.area == "improvisation" and not _is_asked_for(task)


def _is_asked_for(task: SettledTask) -> bool:
    return task.near or task.pin in {"always", "more"}


def _is_new_and_not_due(task: SettledTask) -> bool:
    return task.stage == "new" and not task.near


def _without(
    tasks: Sequence[SettledTask], is_too_much: Callable[[SettledTask], bool], reason: str
) -> tuple[SettledTask, ...]:
    """Shut these out, unless nothing else may be planned."""
    if all(is_too_much(task) for task in tasks if task.shut_out is None):
        return tuple(tasks)
    return tuple(
        replace(task, shut_out=reason) if task.shut_out is None and is_too_much(task) else task
        for task in tasks
    )
