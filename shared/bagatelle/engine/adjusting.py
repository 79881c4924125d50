"""What a day changes in a whole routine: which tasks it shuts out, and what stands for its music."""

from collections.abc import Callable, Sequence

from msgspec.structs import replace

from bagatelle.engine.settled import SettledTask
from bagatelle.model.request import Circumstances


def for_the_day(
    tasks: Sequence[SettledTask], circumstances: Circumstances, *, is_away: bool
) -> tuple[SettledTask, ...]:
    """The tasks as the day has them.

    After a long time away, all that strains is left out while anything else may be planned; with low energy, high
    strain, of what is then left.
    """
    if is_away:
        tasks = _without(tasks, lambda task: task.strains, "engine.reason.after-a-gap")
    if circumstances.energy == "low":
        tasks = _without(tasks, lambda task: task.strain == "high", "engine.reason.low-energy")
    return tuple(tasks)


def due_music_first(tasks: Sequence[SettledTask]) -> tuple[SettledTask, ...]:
    """The tasks, with the music of the day for what is due: where a piece is due soon, no other stands for it."""
    due = any(task.music and task.near and task.shut_out is None for task in tasks)
    return tuple(
        replace(task, yields_to_due=True) if due and task.music and not task.near else task for task in tasks
    )


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
