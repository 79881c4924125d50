"""Why a task is left out, each reason a short sentence that is true of the plan beside it.

What shut it out before the search stands alone. Else its date, where one is near; what speaks against it today and
against nothing that is kept; and what the day has no room for.
"""

from collections.abc import Iterable, Iterator, Sequence
from typing import Final

from msgspec import Struct

from bagatelle.engine.problem import Item, Problem, things
from bagatelle.engine.reasons import reason
from bagatelle.engine.settled import SettledTask
from bagatelle.engine.terms import least_cost, smallest_visit
from bagatelle.model.plan import LeftOut, Reason
from bagatelle.model.text import Message, Value
from bagatelle.model.vocabulary import IN_HAND
from bagatelle.wording.render import Say

_TITLES_NAMED: Final = 2
"""More are not named, as the steps above name them."""
_HALF_A_MINUTE: Final = 30


class Kept(Struct, frozen=True, kw_only=True):
    """What the plan keeps, for saying why another task did not come through."""

    problem: Problem
    tasks: tuple[SettledTask, ...]
    longest_window_seconds: int
    left_seconds: tuple[int, ...]
    """Playing time of each window that the plan leaves over; together they may be more than the day holds."""
    day_left_seconds: int

    @property
    def things(self) -> int:
        """How many of them count."""
        return things(self.tasks)

    @property
    def prepares(self) -> bool:
        """Whether one of them is the warm-up that comes on top."""
        return any(task.prepares for task in self.tasks)

    @property
    def rivals(self) -> tuple[SettledTask, ...]:
        """All of them but those that prepare."""
        return tuple(task for task in self.tasks if not task.prepares)


def left_out(task: SettledTask, item: Item, kept: Kept, say: Say) -> LeftOut:
    """The task with the reasons, the one that says most first."""
    if task.shut_out is not None:
        factor = "pin" if task.pin == "never" else "circumstances"
        return LeftOut(task=task.id, reasons=(reason(factor, None, task.shut_out, say),))
    rivals = kept.rivals
    return LeftOut(
        task=task.id,
        reasons=(*_date(task, rivals, say), *_against(task, kept, rivals, say), _no_room(item, kept, say)),
    )


def _date(task: SettledTask, rivals: Sequence[SettledTask], say: Say) -> Iterator[Reason]:
    """What is due soon and left out names its day, what goes before it, and when its turn is."""
    if not task.near or task.due_days is None or not rivals:
        return
    first = [rival for rival in rivals if rival.near] or rivals
    when = "today" if task.due_days == 0 else "soon"
    yield reason(
        "due",
        float(task.due_days),
        f"engine.reason.left-due-{when}",
        say,
        {"days": task.due_days, "kept": _named([rival.title for rival in first])},
    )


def _named(titles: Sequence[str]) -> tuple[str | Message, ...]:
    if len(titles) <= _TITLES_NAMED + 1:
        return tuple(titles)
    return (
        *titles[:_TITLES_NAMED],
        Message("engine.reason.others", {"count": len(titles) - _TITLES_NAMED}),
    )


def _against(task: SettledTask, kept: Kept, rivals: Sequence[SettledTask], say: Say) -> Iterator[Reason]:
    """What speaks against the task itself today, before what the day has no room for.

    Only what speaks less against everything that is kept, warm-ups apart: a reason that holds for something
    kept as well is no reason. Nor is a task left out as new where a warm-up that is kept is new.
    """
    factors = task.factors
    wants_less = bool(rivals) and all(factors.need < rival.factors.need for rival in rivals)
    if wants_less and factors.need < 1:
        yield reason("need", factors.need, "engine.reason.recent", say)
    stands_apart = all(factors.stage < rival.factors.stage for rival in rivals)
    new_beside_new = task.stage == "new" and any(other.stage == "new" for other in kept.tasks)
    if task.stage not in IN_HAND and stands_apart and not new_beside_new:
        yield reason("stage", factors.stage, f"engine.reason.left-{task.stage}", say)
    if factors.concreteness < 1 and all(
        factors.concreteness < rival.factors.concreteness for rival in rivals
    ):
        yield reason("concreteness", factors.concreteness, f"engine.reason.{task.concreteness}", say)
    if wants_less and factors.need >= 1:
        yield reason("need", factors.need, f"engine.reason.{_waits(task, rivals)}", say)
    if task.pin == "less":
        yield reason("pin", factors.pin, "engine.reason.less", say)


def _waits(task: SettledTask, rivals: Iterable[SettledTask]) -> str:
    """What makes all that is kept want its turn more."""
    due = {rival.near for rival in rivals}
    if due == {True}:
        return "others-due-sooner" if task.near else "others-due"
    return "others-waited" if due == {False} else "others-due-or-waited"


def _no_room(item: Item, kept: Kept, say: Say) -> Reason:
    problem = kept.problem
    visit = smallest_visit(item, problem.floor_mode)
    cost = least_cost(item, problem.budget_seconds, problem.floor_mode)
    if cost > problem.capacity_seconds:
        return _too_long("too-long", cost, problem.capacity_seconds, say)
    if visit > kept.longest_window_seconds:
        return _too_long("too-long-for-a-window", visit, kept.longest_window_seconds, say)
    comes_on_top = item.prepares and not kept.prepares
    if kept.things >= problem.duties.task_limit and not comes_on_top:
        return _full(problem.duties.task_limit, kept, say)
    if cost > kept.day_left_seconds:
        return _too_long("left-over", cost, kept.day_left_seconds, say)
    if visit > max(kept.left_seconds):
        return _too_long("left-over-in-a-window", visit, max(kept.left_seconds), say)
    return reason("worth", item.weight, "engine.reason.worth", say)


def _full(limit: int, kept: Kept, say: Say) -> Reason:
    text = "engine.reason.task-count-besides" if kept.prepares else "engine.reason.task-count"
    return reason("task-count", float(limit), text, say, {"limit": limit})


def _too_long(text: str, needed_seconds: int, room_seconds: int, say: Say) -> Reason:
    """In half minutes, what is needed rounded up and what there is rounded down: so they never look alike."""
    parameters: dict[str, Value] = {
        "needed": _half_minutes(-(-needed_seconds // _HALF_A_MINUTE)),
        "room": _half_minutes(room_seconds // _HALF_A_MINUTE),
    }
    return reason("fit", float(needed_seconds), f"engine.reason.{text}", say, parameters)


def _half_minutes(count: int) -> Message:
    minutes, half = divmod(count, 2)
    if not half:
        return Message("engine.minutes", {"minutes": minutes}) if minutes else Message("engine.no-time")
    if not minutes:
        return Message("engine.half-a-minute")
    return Message("engine.minutes-and-a-half", {"minutes": minutes})
