"""Why a task is left out, each reason a short sentence that is true of the plan beside it.

What shut it out before the search stands alone. Else its date, where one is near; what speaks against it today and
against nothing that is kept; and what the day has no room for.
"""

from collections.abc import Iterator, Sequence
from typing import Final

from bagatelle.engine.against import against, unsaid_stage
from bagatelle.engine.kept import Kept
from bagatelle.engine.least_plan import least_cost, smallest_visit
from bagatelle.engine.problem import Item, Problem
from bagatelle.engine.reasons import reason
from bagatelle.engine.settled import SettledTask
from bagatelle.model.plan import LeftOut, Reason
from bagatelle.model.text import Message, Value
from bagatelle.wording.counts import number_in_words
from bagatelle.wording.render import Say

_TITLES_NAMED: Final = 2
"""More are not named, as the steps above name them."""
_HALF_A_MINUTE: Final = 30
_NEARLY_HALF: Final = 0.4
"""So much is said to be about half; whole passages, or what a day holds of it, may come to less."""


def left_out(task: SettledTask, item: Item, kept: Kept, say: Say) -> LeftOut:
    """The task with the reasons, the one that says most first."""
    if task.shut_out is not None:
        factor = "pin" if task.pin == "never" else "circumstances"
        return LeftOut(task=task.id, reasons=(reason(factor, None, task.shut_out, say),))
    return LeftOut(
        task=task.id,
        reasons=(
            *_date(task, kept, say),
            *against(task, kept, say),
            _no_room(item, kept, say),
            *unsaid_stage(task, kept, say),
        ),
    )


def _date(task: SettledTask, kept: Kept, say: Say) -> Iterator[Reason]:
    """What is due soon and left out names its day, what is kept instead, and when its turn is.

    Only what is due itself and gets most of what is played goes first; else it is named as what is kept beside.
    """
    rivals = sorted(kept.rivals, key=lambda rival: (-kept.seconds[rival.id], rival.id))
    if not task.near or task.due_days is None or not rivals:
        return
    near = [rival for rival in kept.rivals if rival.near]
    goes_first = 2 * sum(kept.seconds[rival.id] for rival in near) > sum(kept.seconds.values())
    when = "today" if task.due_days == 0 else "soon"
    beside = "" if goes_first else "-beside"
    yield reason(
        "due",
        float(task.due_days),
        f"engine.reason.left-due-{when}{beside}",
        say,
        {"days": task.due_days, "kept": _named([rival.title for rival in (near if goes_first else rivals)])},
    )


def _named(titles: Sequence[str]) -> tuple[str | Message, ...]:
    if len(titles) <= _TITLES_NAMED + 1:
        return tuple(titles)
    return (
        *titles[:_TITLES_NAMED],
        Message("engine.reason.others", {"count": len(titles) - _TITLES_NAMED}),
    )


def _no_room(item: Item, kept: Kept, say: Say) -> Reason:
    problem = kept.problem
    visit = smallest_visit(item, problem.floor_mode)
    cost = least_cost(item, problem.budget_seconds, problem.floor_mode)
    if visit == cost > problem.capacity_seconds:
        return _too_long("too-long", cost, problem.capacity_seconds, say)
    if visit > kept.longest_window_seconds:
        return _too_long("too-long-for-a-window", visit, kept.longest_window_seconds, say)
    comes_on_top = item.prepares and not kept.prepares
    if kept.things >= problem.duties.task_limit and not comes_on_top:
        if item.warm_up and kept.prepares:
            return _warmed_up(problem.duties.task_limit, kept, say)
        return _full(problem.duties.task_limit, kept, say)
    room = kept.day_left_seconds
    if cost > room:
        return _left_over(
            _least(item, visit, cost, problem), item, cost, room, _left(room, kept, "today"), say
        )
    room = max(kept.left_seconds)
    if visit > room:
        least = _least(item, visit, visit, problem)
        return _left_over(least, item, visit, room, _left(room, kept, "in-a-gap"), say)
    return reason("worth", item.weight, "engine.reason.worth", say)


def _least(item: Item, visit_seconds: int, cost_seconds: int, problem: Problem) -> str:
    """Whether what it takes is the least that is worth doing, or the floor that keeps things from being shrunk."""
    if problem.floor_mode == "unit":
        return "left-over-unit"
    if cost_seconds == visit_seconds:
        return "left-over"
    # Several windows may hold more of a budget than one would, which gives up time to rests.
    day_seconds = max(problem.budget_seconds, problem.capacity_seconds)
    if cost_seconds < _NEARLY_HALF * min(item.usual_seconds, day_seconds):
        return "left-over-part"
    return "left-over-half" if item.usual_seconds <= day_seconds else "left-over-half-of-the-day"


def _warmed_up(limit: int, kept: Kept, say: Say) -> Reason:
    """Named is the warm-up that is kept; where tone work alone readies the body, that."""
    preparing = [task for task in kept.tasks if task.prepares]
    warm_ups = [task.title for task in preparing if task.area == "warm-up"]
    named = _named(warm_ups or [task.title for task in preparing])
    return reason("task-count", float(limit), "engine.reason.one-warm-up", say, {"kept": named})


def _full(limit: int, kept: Kept, say: Say) -> Reason:
    text = "engine.reason.task-count-besides" if kept.prepares else "engine.reason.task-count"
    parameters: dict[str, Value] = {"limit": limit, "limit_in_words": number_in_words(limit)}
    return reason("task-count", float(limit), text, say, parameters)


def _too_long(text: str, needed_seconds: int, room_seconds: int, say: Say) -> Reason:
    parameters: dict[str, Value] = {
        "needed": _rounded_up(needed_seconds),
        "room": _half_minutes(room_seconds // _HALF_A_MINUTE),
    }
    return reason("fit", float(needed_seconds), f"engine.reason.{text}", say, parameters)


def _left_over(
    text: str, item: Item, needed_seconds: int, room_seconds: int, left: Message, say: Say
) -> Reason:
    needed = _rounded_up(needed_seconds)
    # Where the playing alone would seem to fit, it is said that getting ready is in it.
    playing_seconds = needed_seconds - item.set_up_seconds
    if item.set_up_seconds and round(playing_seconds / _HALF_A_MINUTE) <= room_seconds // _HALF_A_MINUTE:
        needed = Message("engine.with-getting-ready", {"time": needed})
    return reason(
        "fit", float(needed_seconds), f"engine.reason.{text}", say, {"needed": needed, "left": left}
    )


def _left(room_seconds: int, kept: Kept, where: str) -> Message:
    """What is left, beside what is left free on purpose."""
    of = "beside-slack" if kept.leaves_free else "of-all"
    half_minutes = max(room_seconds, 0) // _HALF_A_MINUTE
    if not half_minutes:
        return Message(f"engine.left.nothing-{where}-{of}")
    return Message(f"engine.left.some-{where}-{of}", {"time": _half_minutes(half_minutes)})


def _rounded_up(seconds: int) -> Message:
    """In half minutes, what is needed rounded up and what there is rounded down: so they never look alike."""
    return _half_minutes(-(-seconds // _HALF_A_MINUTE))


def _half_minutes(count: int) -> Message:
    minutes, half = divmod(count, 2)
    if not half:
        return Message("engine.minutes", {"minutes": minutes}) if minutes else Message("engine.no-time")
    if not minutes:
        return Message("engine.half-a-minute")
    return Message("engine.minutes-and-a-half", {"minutes": minutes})
