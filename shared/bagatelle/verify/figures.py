"""Costs, worths, floors and rests, stated a second time and on their own.

Nothing here comes from the engine: a formula that is wrong there must not be wrong here too.
"""

import math
from bisect import bisect_right
from collections.abc import Collection
from typing import Final

from bagatelle.model.plan import PolicyNumbers, TaskNumbers
from bagatelle.model.vocabulary import STRAINING, FloorMode

LONG_WINDOW_SECONDS: Final = 30 * 60
"""Up to here a window needs no rest."""
STRETCH_SECONDS: Final = 25 * 60
REST_SECONDS: Final = 5 * 60
FEWEST_TASKS_ALLOWED: Final = 2


def playing_capacity(window_seconds: int) -> int:
    """The most seconds of set-ups and doses that a window holds beside its rests."""
    if window_seconds <= LONG_WINDOW_SECONDS:
        return window_seconds
    fits = LONG_WINDOW_SECONDS
    stretches = 1
    while True:
        # With so many stretches, so many rests less one; the playing fills what is left, if it may.
        left = window_seconds - REST_SECONDS * (stretches - 1)
        if left <= STRETCH_SECONDS * (stretches - 1):
            return fits
        fits = max(fits, min(left, STRETCH_SECONDS * stretches))
        stretches += 1


def left_free(policy: PolicyNumbers, window_seconds: int) -> int:
    """Seconds that stay free of a window, so that the plan surely fits: a share, a least, half of it at most."""
    tenths = math.floor(window_seconds * policy.slack_share + 1e-6)
    return min(max(tenths, policy.least_slack_seconds), window_seconds // 2)


def room(policy: PolicyNumbers, window_seconds: int) -> int:
    """Seconds of set-ups and doses that a window holds beside its rests and what stays free of it."""
    return playing_capacity(window_seconds - left_free(policy, window_seconds))


def task_limit(policy: PolicyNumbers, budget_seconds: int) -> int:
    """How many tasks a plan of that budget may keep, where its duties need no more."""
    return max(FEWEST_TASKS_ALLOWED, budget_seconds // policy.seconds_per_task)


class Task:
    """One task of an answer, with what follows from its numbers."""

    def __init__(self, numbers: TaskNumbers, policy: PolicyNumbers) -> None:
        self.numbers = numbers
        self.id = numbers.task
        self.strains = numbers.strain in STRAINING
        self.prepares = numbers.prepares
        self.music = numbers.music
        self.set_up_seconds = numbers.set_up_seconds
        self.curve = policy.curve
        self.policy = policy
        self.dose_seconds = self._doses()
        """Playing seconds of a dose of 0, 1, 2, ... units, up to the largest dose."""

    def _doses(self) -> list[int]:
        seconds = [0]
        position = 0
        units = self.numbers.units
        while units:
            reached = seconds[-1] + units[position % len(units)].seconds
            if position and reached > self.numbers.largest_seconds:
                break
            seconds.append(reached)
            position += 1
        return seconds

    @property
    def largest_units(self) -> int:
        """How many units the largest dose has."""
        return len(self.dose_seconds) - 1

    @property
    def seconds_in_full(self) -> int:
        """What its usual time holds in whole units, whatever a day is held to."""
        lengths = [unit.seconds for unit in self.numbers.units]
        if not sum(lengths):
            return 0
        rounds, left = divmod(self.numbers.usual_seconds, sum(lengths))
        seconds = rounds * sum(lengths)
        for length in lengths:
            if length > left:
                break
            left -= length
            seconds += length
        return max(seconds, lengths[0])

    def units_within(self, seconds: int) -> int:
        """How many units take no longer than that, the largest dose not passed."""
        return bisect_right(self.dose_seconds, seconds) - 1 if seconds >= 0 else 0

    def units_exactly(self, seconds: int) -> int | None:
        """How many units take exactly that long; None where that is no dose."""
        units = self.units_within(seconds)
        return units if self.dose_seconds[units] == seconds else None

    @property
    def is_warm_up(self) -> bool:
        """Whether it only gets the body ready."""
        return self.numbers.area == "warm-up"

    @property
    def chunk_units(self) -> int:
        """How many units the smallest useful chunk has."""
        chunk = self.numbers.smallest_chunk_seconds
        reached = [units for units, seconds in enumerate(self.dose_seconds) if units and seconds >= chunk]
        return reached[0] if reached else self.largest_units

    def floor_units(self, budget_seconds: int, mode: FloorMode) -> int:
        """The least units that a kept task gets: half of its time or of what the budget plays, set-up taken off."""
        if mode == "unit":
            return min(1, self.largest_units)
        if mode == "chunk" or self.numbers.short_floor:
            return self.chunk_units
        target = (
            math.floor(min(self.numbers.usual_seconds / 2, room(self.policy, budget_seconds) / 2))
            - self.set_up_seconds
        )
        return max(self.chunk_units, self.units_within(target))

    def worth(self, playing_seconds: int) -> int:
        """Worth of so many seconds: 1000 * weight * usual time * the share that the curve gives."""
        usual = self.numbers.usual_seconds
        played = min(playing_seconds, usual)
        share = (1 - math.exp(-self.curve * (played / usual))) / (1 - math.exp(-self.curve))
        return round(1000 * self.numbers.weight * usual * share)

    def cost(self, playing_seconds: int) -> int:
        """Seconds that a dose takes of a window, its set-up with it."""
        return self.set_up_seconds + playing_seconds


def is_due_soon(numbers: TaskNumbers, near_days: int) -> bool:
    """Whether a task is due within so many days; what is past is not."""
    return numbers.due_days is not None and 0 <= numbers.due_days <= near_days


def counted(tasks: Collection[Task]) -> int:
    """How many of the tasks count as things of the day: all, less one that prepares."""
    return len(tasks) - any(task.prepares for task in tasks)
