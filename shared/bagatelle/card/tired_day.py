"""What a card of a day of low energy holds: a quarter of an hour, and few things (common practice, no source)."""

from typing import Final

from msgspec.structs import replace

from bagatelle.engine.planned_day import SettledDay
from bagatelle.engine.settled import SettledTask
from bagatelle.model.vocabulary import IN_HAND
from bagatelle.policy.table import Policy

_MOST_SECONDS: Final = 900
_SECONDS_PER_THING: Final = 450
"""Two things in a quarter of an hour, one in less; what prepares comes on top."""


def tired_day(day: SettledDay) -> SettledDay:
    """The day as one of low energy has it: a quarter of an hour at most, with two things, or one or two after what
    prepares.
    """
    anything_prepares = any(
        task.prepares and not task.stand_in for task in day.tasks if task.shut_out is None
    )
    policy = replace(
        day.policy,
        seconds_per_task=max(_SECONDS_PER_THING, day.policy.seconds_per_task),
        least_task_limit=1 if anything_prepares else 2,
    )
    seconds = min(day.budget.seconds, _MOST_SECONDS)
    return replace(
        day,
        policy=policy,
        budget=replace(day.budget, seconds=seconds),
        routine=replace(day.routine, policy=policy),
    )


def largest_seconds(task: SettledTask, seconds: int, policy: Policy) -> int:
    """A warm-up takes no longer than the day's first step may."""
    return min(seconds, policy.low_energy_first_seconds) if task.prepares else seconds


def tired_order(task: SettledTask) -> tuple[int, bool]:
    """What prepares, then what does not strain, then what does; in each, what is exact and in hand comes first."""
    is_begun_easily = task.concreteness == "exact" and task.stage in IN_HAND
    return (0 if task.prepares else 2 if task.strains else 1, not task.prepares and not is_begun_easily)
