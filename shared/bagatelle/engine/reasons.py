"""Why a task is kept or left out, each in one short sentence that names a factor or a rule."""

from collections.abc import Iterator, Mapping, Sequence
from functools import lru_cache

from msgspec import Struct

from bagatelle.engine.problem import Item, Problem
from bagatelle.engine.settled import SettledTask
from bagatelle.engine.terms import least_cost, smallest_visit
from bagatelle.model.plan import Factors, Reason
from bagatelle.model.text import Message, Value
from bagatelle.model.vocabulary import IN_HAND
from bagatelle.wording.render import Say


class Verdicts(Struct, frozen=True, kw_only=True):
    """What the search was given, for saying why a task did not come through."""

    problem: Problem
    things: int
    """How many things the plan keeps."""
    rivals: tuple[Factors, ...]
    """What speaks for those that it keeps, warm-ups apart."""
    longest_window_seconds: int


def reasons_to_keep(task: SettledTask, say: Say) -> tuple[Reason, ...]:
    """The factors that speak for a task; its stage always."""
    if task.stand_in:
        return (_reason("warm-up-before-strain", None, "engine.reason.stand-in", say),)
    reasons = [_stage(task, say)]
    if task.prepares:
        reasons.append(_reason("warm-up-before-strain", None, "engine.reason.prepares", say))
    if task.near and task.due_days is not None:
        reasons.append(_reason("need", task.factors.need, "engine.reason.due", say, {"days": task.due_days}))
    elif task.factors.need > 1:
        reasons.append(_reason("need", task.factors.need, "engine.reason.waited", say))
    if task.pin in {"always", "more"}:
        reasons.append(_reason("pin", task.factors.pin, f"engine.reason.{task.pin}", say))
    if task.form != "usual":
        reasons.append(
            _reason("circumstances", task.factors.circumstances, f"engine.reason.form-{task.form}", say)
        )
    return tuple(reasons)


def reasons_to_leave(task: SettledTask, item: Item, verdicts: Verdicts, say: Say) -> tuple[Reason, ...]:
    """The rule that shut it out, or what made the time worth more elsewhere."""
    if task.shut_out is not None:
        return (_reason("pin" if task.pin == "never" else "circumstances", None, task.shut_out, say),)
    return (*_against(task, verdicts.rivals, say), _why_not(item, verdicts, say))


def _against(task: SettledTask, rivals: Sequence[Factors], say: Say) -> Iterator[Reason]:
    """What speaks against the task itself today, before what the day has no room for.

    Only what speaks less against everything that is kept, warm-ups apart: a reason that holds for something
    kept as well is no reason.
    """
    factors = task.factors
    if factors.need < 1 and all(factors.need < rival.need for rival in rivals):
        yield _reason("need", factors.need, "engine.reason.recent", say)
    if task.stage not in IN_HAND and all(factors.stage < rival.stage for rival in rivals):
        yield _reason("stage", factors.stage, f"engine.reason.left-{task.stage}", say)
    if factors.concreteness < 1 and all(factors.concreteness < rival.concreteness for rival in rivals):
        yield _reason("concreteness", factors.concreteness, f"engine.reason.{task.concreteness}", say)
    if task.pin == "less":
        yield _reason("pin", factors.pin, "engine.reason.less", say)


@lru_cache(maxsize=256)
def _no_room(limit: int, say: Say) -> Reason:
    return _reason("task-count", float(limit), "engine.reason.task-count", say, {"limit": limit})


def _why_not(item: Item, verdicts: Verdicts, say: Say) -> Reason:
    problem = verdicts.problem
    visit = smallest_visit(item, problem.floor_mode)
    cost = least_cost(item, problem.budget_seconds, problem.floor_mode)
    if visit > verdicts.longest_window_seconds or cost > problem.capacity_seconds:
        minutes = round(cost / 60, 1)
        return _reason("fit", None, "engine.reason.too-long", say, {"minutes": minutes})
    if verdicts.things >= problem.duties.task_limit:
        return _no_room(problem.duties.task_limit, say)
    return _reason("worth", item.weight, "engine.reason.worth", say)


def _stage(task: SettledTask, say: Say) -> Reason:
    return _reason("stage", task.factors.stage, f"engine.reason.{task.stage}", say)


def _reason(
    factor: str, value: float | None, text: str, say: Say, parameters: Mapping[str, Value] | None = None
) -> Reason:
    because = say(Message(text, parameters)) if parameters else _fixed(text, say)
    return Reason(factor=factor, value=value, because=because)


@lru_cache(maxsize=256)
def _fixed(text: str, say: Say) -> str:
    """A sentence without gaps, found once for each locale."""
    return say(Message(text))
