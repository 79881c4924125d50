"""What a day changes in a whole routine: nothing of high strain when energy is low, not too much in the head."""

from collections.abc import Sequence

from msgspec.structs import replace

from bagatelle.engine.settled import SettledTask
from bagatelle.model.request import Circumstances
from bagatelle.policy.table import Policy


def for_the_day(tasks: Sequence[SettledTask], circumstances: Circumstances) -> tuple[SettledTask, ...]:
    """With low energy, high strain is left out while anything else may be planned."""
    if circumstances.energy != "low" or all(task.strain == "high" for task in tasks if task.shut_out is None):
        return tuple(tasks)
    return tuple(
        replace(task, shut_out="engine.reason.low-energy")
        if task.strain == "high" and task.shut_out is None
        else task
        for task in tasks
    )


def hold_study(tasks: Sequence[SettledTask], task_limit: int, policy: Policy) -> tuple[SettledTask, ...]:
    """Share out what one day may hold of mental work, so that no plan holds more.

    Sound rather than sharp: each studied task may get the whole, divided by how many could be kept together.
    """
    studied = sum(task.form == "study" and task.shut_out is None for task in tasks)
    if studied == 0:
        return tuple(tasks)
    each = policy.mental_seconds // min(studied, task_limit)
    return tuple(
        replace(task, cap_seconds=each, chunk_seconds=min(task.chunk_seconds, each))
        if task.form == "study"
        else task
        for task in tasks
    )
