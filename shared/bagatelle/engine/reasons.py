"""Why a task is kept, each reason one short sentence that names a factor or a rule."""

from collections.abc import Mapping
from functools import lru_cache

from bagatelle.engine.settled import SettledTask
from bagatelle.model.plan import Reason
from bagatelle.model.text import Message, Value
from bagatelle.wording.render import Say


def reasons_to_keep(task: SettledTask, say: Say) -> tuple[Reason, ...]:
    """The factors that speak for a task; its stage always."""
    if task.stand_in:
        return (reason("warm-up-before-strain", None, "engine.reason.stand-in", say),)
    reasons = [_stage(task, say)]
    if task.prepares:
        reasons.append(reason("warm-up-before-strain", None, "engine.reason.prepares", say))
    if task.near and task.due_days is not None:
        due = "due" if task.due_days else "due-today"
        reasons.append(
            reason("need", task.factors.need, f"engine.reason.{due}", say, {"days": task.due_days})
        )
    elif task.factors.need > 1:
        reasons.append(reason("need", task.factors.need, "engine.reason.waited", say))
    if task.pin in {"always", "more"}:
        reasons.append(reason("pin", task.factors.pin, f"engine.reason.{task.pin}", say))
    if task.form != "usual":
        reasons.append(
            reason("circumstances", task.factors.circumstances, f"engine.reason.form-{task.form}", say)
        )
    return tuple(reasons)


def _stage(task: SettledTask, say: Say) -> Reason:
    return reason("stage", task.factors.stage, f"engine.reason.{task.stage}", say)


def reason(
    factor: str, value: float | None, text: str, say: Say, parameters: Mapping[str, Value] | None = None
) -> Reason:
    """A reason in words, with the factor or rule that it goes back to and what that came to."""
    because = say(Message(text, parameters)) if parameters else _fixed(text, say)
    return Reason(factor=factor, value=value, because=because)


@lru_cache(maxsize=256)
def _fixed(text: str, say: Say) -> str:
    """A sentence without gaps, found once for each locale."""
    return say(Message(text))
