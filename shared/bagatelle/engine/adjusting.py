"""What a day changes in a whole routine: nothing of high strain when energy is low."""

from collections.abc import Sequence

from msgspec.structs import replace

from bagatelle.engine.settled import SettledTask
from bagatelle.model.request import Circumstances


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
