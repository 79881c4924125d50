"""Tasks whose plugin failed: left out with the reason, while the rest of the plan stands."""

from collections.abc import Iterable

from msgspec import UNSET, Struct, UnsetType

from bagatelle.engine.reasons import reason
from bagatelle.model.errors import PluginError
from bagatelle.model.plan import LeftOut, PluginProblem
from bagatelle.model.text import Message, Value
from bagatelle.wording.render import Say


class FailedTask(Struct, frozen=True, kw_only=True):
    """A task of which nobody knows what to play."""

    id: str
    title: str
    pointer: str
    """As in `PluginProblem`."""
    usual_seconds: int
    """As in `PluginProblem`."""
    error: PluginError


def refuse_failed(failed: Iterable[FailedTask]) -> None:
    """Refuse to go on without these tasks.

    :raises PluginError: that of the first, where there is one.
    """
    for task in failed:
        raise task.error


def failed_left_out(task: FailedTask, say: Say) -> LeftOut:
    """The task among what is left out."""
    return LeftOut(task=task.id, reasons=(reason("plugin", None, _because(task), say),))


def plugin_problems(failed: Iterable[FailedTask], say: Say) -> tuple[PluginProblem, ...] | UnsetType:
    """What is answered about them; nothing at all where no plugin failed."""
    return tuple(_problem(task, say) for task in failed) or UNSET


def _problem(task: FailedTask, say: Say) -> PluginProblem:
    error = task.error
    parameters: dict[str, Value] = {
        "title": task.title,
        "reason": Message(_because(task)),
        "plugin": error.plugin,
        "hook": error.hook,
        "exercise": error.item,
    }
    return PluginProblem(
        task=task.id,
        title=task.title,
        pointer=task.pointer,
        usual_seconds=task.usual_seconds,
        plugin=error.plugin,
        hook=error.hook,
        exercise=error.item,
        failure=error.kind,
        message=say(Message("engine.plugin-problem", parameters)),
    )


def _because(task: FailedTask) -> str:
    return f"engine.reason.plugin-{task.error.kind}"
