"""What a day changes in a whole routine: nothing of high strain when energy is low, not too much in the head."""

from collections.abc import Sequence

from msgspec.structs import replace

from bagatelle.engine.problem import worth_of
from bagatelle.engine.settled import SettledTask
from bagatelle.engine.terms import task_limit
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


def hold_study(tasks: Sequence[SettledTask], policy: Policy) -> tuple[SettledTask, ...]:
    """Share out what one day may hold of mental work, so that no plan holds more.

    A few tasks get an equal part of it each, and the others are left out. Nothing in this hangs on how long the
    day is: more minutes never give a task less. Only where the one piece that is quickest to do is longer than
    a day's mental work is more planned: that piece, once, and nothing else of the kind.
    """
    studied = [task for task in tasks if task.form == "study" and task.shut_out is None]
    if not studied:
        return tuple(tasks)
    chosen = _studied_today(studied, policy)
    part = policy.mental_seconds // len(chosen)
    of_day = {
        task.id: _with_part(task, part) if task.id in chosen else _without(task, part) for task in studied
    }
    return tuple(of_day.get(task.id, task) for task in tasks)


def _studied_today(studied: Sequence[SettledTask], policy: Policy) -> frozenset[str]:
    """Which tasks share the mental work: as many as a budget of that length may hold.

    Pinned always comes first, then music in hand or due soon, then what the part is worth most for. The one
    that is quickest to do is always among them, so that the shortest day has something.
    """
    places = min(len(studied), task_limit(policy.mental_seconds, policy))
    ranked = sorted(studied, key=lambda task: _rank(task, policy.mental_seconds // places, policy))
    quickest = min(ranked, key=lambda task: task.set_up_seconds + _first_unit_seconds(task))
    places = max(min(places, policy.mental_seconds // _first_unit_seconds(quickest)), 1)
    others = [
        task.id
        for task in ranked
        if task.id != quickest.id and _first_unit_seconds(task) <= policy.mental_seconds // places
    ]
    return frozenset((quickest.id, *others[: places - 1]))


def _rank(task: SettledTask, part_seconds: int, policy: Policy) -> tuple[bool, bool, int, str]:
    worth = worth_of(task.item(), min(part_seconds, task.largest_seconds), policy.curve)
    return (task.pin != "always", not task.music, -worth, task.id)


def _first_unit_seconds(task: SettledTask) -> int:
    return task.units[0].time.seconds


def _with_part(task: SettledTask, part_seconds: int) -> SettledTask:
    return replace(task, cap_seconds=part_seconds, chunk_seconds=min(task.chunk_seconds, part_seconds))


def _without(task: SettledTask, part_seconds: int) -> SettledTask:
    too_long = _first_unit_seconds(task) > part_seconds
    return replace(
        task, shut_out="engine.reason.mental-work-too-long" if too_long else "engine.reason.mental-work"
    )
