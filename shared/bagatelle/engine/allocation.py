"""The best doses of a given set of tasks: a concave allocation, exact to the second.

First the continuous problem: every task at the length where one second more is worth the same price (water
filling). Its value bounds the set. Then a depth-first search over whole units around those lengths; what a
choice loses against the price is added up, and a branch ends when the loss eats what the bound leaves over the
best plan known. The last task of the search simply takes what is left.
"""

import math
from bisect import bisect_right
from collections.abc import Sequence

from bagatelle.engine.candidates import ROUNDING, Candidate

_ROUNDS = 60
_LOG_PRICE_LOW = -60.0
_TRIAL_STEPS = 300


class StepsUsedUpError(Exception):
    """The search has used its steps."""


class Steps:
    """Counts the steps of a search, and ends it after a fixed number of them."""

    __slots__ = ("limit", "used")

    def __init__(self, limit: int) -> None:
        self.limit = limit
        self.used = 0

    def take(self, number: int = 1) -> None:
        """Count so many more."""
        self.used += number
        if self.used > self.limit:
            raise StepsUsedUpError


def price_of(chosen: Sequence[Candidate], room_seconds: float) -> float:
    """Logarithm of the price at which the best lengths together fill the room.

    The total is a piecewise linear, falling function of it: Newton's method inside a bracket. Where even all
    the largest doses fit, a price of practically nothing.
    """
    if sum(candidate.high_seconds for candidate in chosen) <= room_seconds:
        return _LOG_PRICE_LOW
    above = max(candidate.log_gain for candidate in chosen)
    below = _LOG_PRICE_LOW
    price = above - 1.0
    for _ in range(_ROUNDS):
        total = 0.0
        slope = 0.0
        for candidate in chosen:
            seconds = candidate.reach * (candidate.log_gain - price)
            if seconds <= candidate.low_seconds:
                total += candidate.low_seconds
            elif seconds >= candidate.high_seconds:
                total += candidate.high_seconds
            else:
                total += seconds
                slope += candidate.reach
        excess = total - room_seconds
        if abs(excess) < 1e-6:
            break
        if excess > 0:
            below = price
        else:
            above = price
        price = price + excess / slope if slope > 0 else below
        if not below < price < above:
            price = (below + above) / 2
    return price


def curve_bound(chosen: Sequence[Candidate], capacity_seconds: int) -> tuple[float, float]:
    """No doses of this set are worth more than this; with the logarithm of the price that shows it.

    Any price gives a bound (weak duality), so a price that is not quite right costs strength, never truth.
    """
    room = capacity_seconds - sum(candidate.set_up for candidate in chosen)
    log_price = price_of(chosen, room)
    price = math.exp(log_price)
    bound = price * room
    for candidate in chosen:
        seconds, value = candidate.best_at(log_price, price)
        bound += value - price * seconds
    return bound + ROUNDING * len(chosen), log_price


class _Choice:
    """The doses of one task that lose less than what there is to lose, least loss first."""

    __slots__ = ("candidate", "options", "smallest_loss")

    def __init__(self, candidate: Candidate, log_price: float, loss_limit: float) -> None:
        self.candidate = candidate
        self.options = _options(candidate, log_price, loss_limit)
        self.smallest_loss = self.options[0][0] if self.options else math.inf


def _options(candidate: Candidate, log_price: float, loss_limit: float) -> list[tuple[float, int, int, int]]:
    """(loss, units, seconds, worth) of each dose whose loss against the price stays under the limit."""
    price = math.exp(log_price)
    best_seconds, value = candidate.best_at(log_price, price)
    best = value - price * best_seconds + ROUNDING
    scale = candidate.scale
    ends = scale.ends
    middle = min(max(scale.units_within(int(best_seconds)), candidate.low), candidate.high)
    options = []
    for start, step in ((middle, -1), (middle + 1, 1)):
        units = start
        # Loss grows with the distance from the best length, but for rounding: look ROUNDING further.
        while candidate.low <= units <= candidate.high:
            seconds = ends[units]
            worth = candidate.worth(units)
            loss = best - (worth - price * seconds)
            if loss > loss_limit + 2 * ROUNDING:
                break
            if loss < loss_limit:
                options.append((loss, units, seconds, worth))
            units += step
    options.sort()
    return options


class Best:
    """The best plan that a search has found."""

    __slots__ = ("doses", "worth")

    def __init__(self) -> None:
        self.worth = -1
        self.doses: dict[str, int] | None = None

    def improve(self, worth: int, ordered: Sequence[Candidate], units: Sequence[int]) -> None:
        """Take these doses if they are worth more."""
        if worth > self.worth:
            self.worth = worth
            self.doses = {candidate.item.id: taken for candidate, taken in zip(ordered, units, strict=True)}


def try_doses(chosen: Sequence[Candidate], capacity_seconds: int, best: Best, steps: Steps) -> None:
    """Find the doses of exactly this set that are worth most, and keep them if nothing better is known.

    The smallest doses of the set must fit the capacity.

    Raises
    ------
    StepsUsedUpError
        The search did not end within its steps; what it found until then is kept.
    """
    steps.take(len(chosen))
    room = capacity_seconds - sum(candidate.set_up for candidate in chosen)
    if sum(candidate.high_seconds for candidate in chosen) <= room:
        units = [candidate.high for candidate in chosen]
        best.improve(sum(c.worth(taken) for c, taken in zip(chosen, units, strict=True)), chosen, units)
        return
    bound, log_price = curve_bound(chosen, capacity_seconds)
    if bound >= best.worth + 1:
        _AllocationSearch(chosen, room, bound, log_price, best, steps).run()


class _TrialOverError(Exception):
    """The depth-first trial has used its steps."""


class _AllocationSearch:
    """Over the tasks, finest last: a short depth-first trial for a good plan, then a merge that proves it.

    The trial ends most searches by itself. Where it does not, the merge goes through the tasks once and keeps,
    of all partial plans that leave the same room, the best: many tasks make many partial plans, but few rooms.
    """

    def __init__(
        self,
        chosen: Sequence[Candidate],
        room: int,
        bound: float,
        log_price: float,
        best: Best,
        steps: Steps,
    ) -> None:
        # The last task fills what is left, so the one with the most doses goes last.
        self._ordered = sorted(
            chosen, key=lambda candidate: (candidate.high - candidate.low, candidate.index)
        )
        self._room = room
        self._bound = bound
        self._log_price = log_price
        self._best = best
        self._steps = steps

    def run(self) -> None:
        self._begin()
        if len(self._ordered) == 1:
            return
        loss_limit = self._bound - self._best.worth - 1 + 1e-6
        self._choices = [_Choice(candidate, self._log_price, loss_limit) for candidate in self._ordered[:-1]]
        self._steps.take(sum(len(choice.options) for choice in self._choices))
        if any(not choice.options for choice in self._choices):
            return
        self._sum_up_later()
        self._trial_left = _TRIAL_STEPS
        self._units = [0] * (len(self._ordered) - 1)
        try:
            self._descend(0, self._room, 0, self._bound)
        except _TrialOverError:
            self._merge()
        self._steps.take(_TRIAL_STEPS - self._trial_left)

    def _begin(self) -> None:
        """Start from the best lengths rounded down and filled up: a good plan keeps the choices few."""
        price = math.exp(self._log_price)
        units = []
        for candidate in self._ordered:
            seconds, _ = candidate.best_at(self._log_price, price)
            units.append(max(candidate.scale.units_within(int(seconds)), candidate.low))
        if self._room_beside(units) < 0:
            units = [candidate.low for candidate in self._ordered]
        room = self._room_beside(units)
        for index, candidate in enumerate(self._ordered):
            before = candidate.scale.seconds(units[index])
            units[index] = min(candidate.scale.units_within(before + room), candidate.high)
            room -= candidate.scale.seconds(units[index]) - before
        worth = sum(candidate.worth(taken) for candidate, taken in zip(self._ordered, units, strict=True))
        self._best.improve(worth, self._ordered, units)

    def _room_beside(self, units: Sequence[int]) -> int:
        taken = (candidate.scale.seconds(one) for candidate, one in zip(self._ordered, units, strict=True))
        return self._room - sum(taken)

    def _sum_up_later(self) -> None:
        """What the tasks after each position need at least, in seconds, and lose at least."""
        count = len(self._ordered)
        self._later_seconds = [0] * count
        self._later_loss = [0.0] * count
        for position in range(count - 2, -1, -1):
            self._later_seconds[position] = (
                self._later_seconds[position + 1] + self._ordered[position + 1].low_seconds
            )
            later = self._choices[position + 1].smallest_loss if position + 1 < count - 1 else 0.0
            self._later_loss[position] = self._later_loss[position + 1] + later

    def _descend(self, position: int, room: int, worth: int, bound: float) -> None:
        if position == len(self._choices) - 1:
            self._choose_last_two(room, worth, bound)
            return
        later_seconds = self._later_seconds[position]
        later_loss = self._later_loss[position]
        taken = 0
        for loss, units, seconds, option_worth in self._choices[position].options:
            taken += 1
            if bound - loss - later_loss < self._best.worth + 1:
                break
            if seconds + later_seconds <= room:
                self._units[position] = units
                self._descend(position + 1, room - seconds, worth + option_worth, bound - loss)
        self._count_trial(taken)

    def _choose_last_two(self, room: int, worth: int, bound: float) -> None:
        """Try each choice of the last task but one; the last takes what is left. Most steps end here."""
        last, best = self._ordered[-1], self._best
        ends = last.scale.ends
        taken = 0
        for loss, units, seconds, option_worth in self._choices[-1].options:
            taken += 1
            if bound - loss < best.worth + 1:
                break
            left = room - seconds
            if left >= last.low_seconds:
                last_units = min(bisect_right(ends, left) - 1, last.high)
                total = worth + option_worth + last.worth(last_units)
                if total > best.worth:
                    best.improve(total, self._ordered, [*self._units[:-1], units, last_units])
        self._count_trial(taken)

    def _count_trial(self, taken: int) -> None:
        self._trial_left -= taken
        if self._trial_left < 0:
            raise _TrialOverError

    def _merge(self) -> None:
        """Go through the tasks once; states are room -> (worth, bound, units so far)."""
        states: dict[int, tuple[int, float, tuple[int, ...]]] = {self._room: (0, self._bound, ())}
        for position, choice in enumerate(self._choices):
            later_seconds = self._later_seconds[position]
            later_loss = self._later_loss[position]
            merged: dict[int, tuple[int, float, tuple[int, ...]]] = {}
            for room, (worth, bound, so_far) in states.items():
                taken = 0
                for loss, units, seconds, option_worth in choice.options:
                    taken += 1
                    if bound - loss - later_loss < self._best.worth + 1:
                        break
                    left = room - seconds
                    if left < later_seconds:
                        continue
                    known = merged.get(left)
                    if known is None or known[0] < worth + option_worth:
                        merged[left] = (worth + option_worth, bound - loss, (*so_far, units))
                self._steps.take(taken)
            states = _undominated(merged)
        for room, (worth, _, so_far) in states.items():
            self._fill_last(room, worth, so_far)

    def _fill_last(self, room: int, worth: int, so_far: Sequence[int]) -> None:
        last = self._ordered[-1]
        units = min(last.scale.units_within(room), last.high)
        total = worth + last.worth(units)
        if total > self._best.worth:
            self._best.improve(total, self._ordered, [*so_far, units])


def _undominated(
    states: dict[int, tuple[int, float, tuple[int, ...]]],
) -> dict[int, tuple[int, float, tuple[int, ...]]]:
    """Those states that no other beats in room and worth both."""
    kept = {}
    best_worth = -1
    for room in sorted(states, reverse=True):
        state = states[room]
        if state[0] > best_worth:
            best_worth = state[0]
            kept[room] = state
    return kept
