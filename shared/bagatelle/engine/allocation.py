"""The best doses of a given set of tasks: a concave allocation, exact to the second.

First the continuous problem: every task at the length where one second more is worth the same price (water
filling). Its value bounds the set. Then a depth-first search over whole units around those lengths; what a
choice loses against the price is added up, and a branch ends when the loss eats what the bound leaves over the
best plan known. The last task of the search simply takes what is left.
"""

from bisect import bisect_right
from collections.abc import Sequence
from math import exp, fsum, inf
from operator import attrgetter
from typing import Final, TypeAlias

from bagatelle.engine.candidates import ROUNDING, Candidate

_ROUNDS: Final = 60
_LOG_PRICE_SPAN: Final = 60.0
_CLOSE_SECONDS: Final = 1e-6
_TRIAL_STEPS: Final = 1_000
_FEW_DOSES: Final = 40
_FINEST_LAST: Final = attrgetter("doses", "index")

Option: TypeAlias = tuple[float, int, int, int]
"""Loss against the price, units, seconds, worth."""


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
            self.doses = {candidate.id: taken for candidate, taken in zip(ordered, units, strict=True)}


def curve_bound(
    chosen: Sequence[Candidate], room_seconds: int, log_price: float, enough: float
) -> tuple[float, float]:
    """No doses of this set are worth more than this; with the logarithm of the price that shows it.

    Any price gives a bound (weak duality). The best is the one at which the best lengths together fill the
    room; their total is a piecewise linear, falling function of it: Newton's method inside a bracket, from the
    price given, and no further than to a bound under what is `enough`.
    """
    below, above = -inf, inf
    bound = inf
    following = log_price
    for _ in range(_ROUNDS):
        log_price = following
        price = exp(log_price)
        excess = float(-room_seconds)
        slope = worth = 0.0
        for candidate in chosen:
            reach, log_gain, low_seconds, high_seconds, low_value, high_value, amplitude = candidate.row
            seconds = reach * (log_gain - log_price)
            if seconds <= low_seconds:
                excess += low_seconds
                worth += low_value
            elif seconds >= high_seconds:
                excess += high_seconds
                worth += high_value
            else:
                excess += seconds
                worth += amplitude - reach * price
                slope += reach
        bound = worth - price * excess + ROUNDING * len(chosen)
        if bound < enough or -_CLOSE_SECONDS < excess < _CLOSE_SECONDS:
            break
        if excess > 0:
            below = log_price
        else:
            above = log_price
        following = log_price + excess / slope if slope > 0 else below
        if not below < following < above:
            highest = max(candidate.curve.log_gain for candidate in chosen)
            above = min(above, highest)
            below = max(below, highest - _LOG_PRICE_SPAN)
            following = (below + above) / 2
    return bound, log_price


class _Choice:
    """What the doses of one task lose against the price."""

    __slots__ = ("_best", "candidate", "least_loss", "middle")

    def __init__(self, candidate: Candidate, log_price: float, price: float) -> None:
        self.candidate = candidate
        ends, worths = candidate.ends, candidate.worths
        reach, log_gain, low_seconds, high_seconds, low_value, high_value, amplitude = candidate.row
        seconds = reach * (log_gain - log_price)
        if seconds <= low_seconds:
            best = low_value - price * low_seconds + ROUNDING
            middle = candidate.low
        elif seconds >= high_seconds:
            best = high_value - price * high_seconds + ROUNDING
            middle = candidate.high
        else:
            best = amplitude - reach * price - price * seconds + ROUNDING
            middle = bisect_right(ends, seconds) - 1
        self._best = best
        self.middle = middle
        """The largest dose no longer than the best length."""
        loss = best - worths[middle] + price * ends[middle]
        if middle < candidate.high:
            loss = min(loss, best - worths[middle + 1] + price * ends[middle + 1])
        self.least_loss = max(loss - 2 * ROUNDING, 0.0)
        """No dose loses less; one next to these two may, by rounding, lose a little less than they do."""

    def options(self, price: float, loss_limit: float) -> list[Option]:
        """The doses that lose less than the limit, least loss first."""
        candidate, best, middle = self.candidate, self._best, self.middle
        ends, worths = candidate.ends, candidate.worths
        options: list[Option] = []
        # Loss grows with the distance from the best length, but for rounding: look ROUNDING further.
        far = loss_limit + 2 * ROUNDING
        for way in (range(middle, candidate.low - 1, -1), range(middle + 1, candidate.high + 1)):
            for units in way:
                seconds, worth = ends[units], worths[units]
                loss = best - worth + price * seconds
                if loss < loss_limit:
                    options.append((loss, units, seconds, worth))
                elif loss > far:
                    break
        options.sort()
        return options


def try_doses(
    chosen: Sequence[Candidate], capacity_seconds: int, best: Best, steps: Steps, log_price: float
) -> None:
    """Find the doses of exactly this set that are worth most, and keep them if nothing better is known.

    The smallest doses of the set must fit the capacity. The search for a price starts from the one given.

    Raises
    ------
    StepsUsedUpError
        The search did not end within its steps; what it found until then is kept.
    """
    steps.take(len(chosen))
    room = capacity_seconds
    most = 0
    for candidate in chosen:
        room -= candidate.set_up
        most += candidate.high_seconds
    if most <= room:
        worth = sum(candidate.worths[candidate.high] for candidate in chosen)
        best.improve(worth, chosen, [candidate.high for candidate in chosen])
        return
    if len(chosen) == 2:
        coarse, fine = sorted(chosen, key=_FINEST_LAST)
        if coarse.doses < _FEW_DOSES:
            _try_two(coarse, fine, room, best, steps)
            return
    bound, log_price = curve_bound(chosen, room, log_price, best.worth + 1)
    if bound >= best.worth + 1:
        _AllocationSearch(chosen, room, bound, log_price, best, steps).run()


def _try_two(coarse: Candidate, fine: Candidate, room: int, best: Best, steps: Steps) -> None:
    """Every dose of the one that has few, and for each what is left for the other: no bound is as quick."""
    ends, fine_ends, worths, fine_worths = coarse.ends, fine.ends, coarse.worths, fine.worths
    steps.take(coarse.doses)
    most = room - fine.low_seconds
    for units in range(coarse.low, coarse.high + 1):
        seconds = ends[units]
        if seconds > most:
            break
        fine_units = min(bisect_right(fine_ends, room - seconds) - 1, fine.high)
        worth = worths[units] + fine_worths[fine_units]
        if worth > best.worth:
            best.improve(worth, (coarse, fine), (units, fine_units))


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
        self._ordered = sorted(chosen, key=_FINEST_LAST)
        self._room = room
        self._bound = bound
        self._log_price = log_price
        self._best = best
        self._steps = steps

    def run(self) -> None:
        """Search, unless what the whole units lose at least already shows that it is in vain."""
        ordered, best = self._ordered, self._best
        price = exp(self._log_price)
        choices = [_Choice(candidate, self._log_price, price) for candidate in ordered]
        least_loss = fsum(choice.least_loss for choice in choices)
        if self._bound - least_loss < best.worth + 1:
            return
        self._begin(choices)
        to_lose = self._bound - least_loss - best.worth - 1 + 1e-6
        if to_lose <= 0:
            return
        self._options = [choice.options(price, to_lose + choice.least_loss) for choice in choices[:-1]]
        self._steps.take(sum(len(options) for options in self._options))
        if not all(self._options):
            return
        self._sum_up_later(choices)
        self._trial_left = _TRIAL_STEPS
        self._units = [0] * (len(ordered) - 1)
        try:
            self._descend(0, self._room, 0, self._bound)
        except _TrialOverError:
            self._merge()
        self._steps.take(_TRIAL_STEPS - self._trial_left)

    def _begin(self, choices: Sequence[_Choice]) -> None:
        """Start from the best lengths rounded down and filled up: a good plan keeps the choices few."""
        ordered = self._ordered
        units = [choice.middle for choice in choices]
        room = self._room - sum(
            candidate.ends[taken] for candidate, taken in zip(ordered, units, strict=True)
        )
        if room < 0:
            units = [candidate.low for candidate in ordered]
            room = self._room - sum(candidate.low_seconds for candidate in ordered)
        worth = 0
        for index, candidate in enumerate(ordered):
            ends = candidate.ends
            before = ends[units[index]]
            taken = units[index] = min(bisect_right(ends, before + room) - 1, candidate.high)
            room -= ends[taken] - before
            worth += candidate.worths[taken]
        self._best.improve(worth, ordered, units)

    def _sum_up_later(self, choices: Sequence[_Choice]) -> None:
        """What the tasks after each position need at least, in seconds, and lose at least."""
        seconds, loss = 0, 0.0
        later_seconds, later_loss = [0], [0.0]
        for choice in reversed(choices[1:]):
            seconds += choice.candidate.low_seconds
            loss += choice.least_loss
            later_seconds.append(seconds)
            later_loss.append(loss)
        self._later_seconds = later_seconds[::-1]
        self._later_loss = later_loss[::-1]

    def _descend(self, position: int, room: int, worth: int, bound: float) -> None:
        if position == len(self._options) - 1:
            self._choose_last_two(room, worth, bound)
            return
        later_seconds = self._later_seconds[position]
        later_loss = self._later_loss[position]
        taken = 0
        for loss, units, seconds, option_worth in self._options[position]:
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
        ends, worths, high = last.ends, last.worths, last.high
        most_seconds = room - last.low_seconds
        bound -= self._later_loss[-2]
        enough = best.worth + 1
        taken = 0
        for loss, units, seconds, option_worth in self._options[-1]:
            taken += 1
            if bound - loss < enough:
                break
            if seconds <= most_seconds:
                last_units = min(bisect_right(ends, room - seconds) - 1, high)
                total = worth + option_worth + worths[last_units]
                if total >= enough:
                    best.improve(total, self._ordered, [*self._units[:-1], units, last_units])
                    enough = total + 1
        self._count_trial(taken)

    def _count_trial(self, taken: int) -> None:
        self._trial_left -= taken
        if self._trial_left < 0:
            raise _TrialOverError

    def _merge(self) -> None:
        """Go through the tasks once; states are room -> (worth, bound, units so far)."""
        states: dict[int, tuple[int, float, tuple[int, ...]]] = {self._room: (0, self._bound, ())}
        for position, options in enumerate(self._options):
            later_seconds = self._later_seconds[position]
            later_loss = self._later_loss[position]
            merged: dict[int, tuple[int, float, tuple[int, ...]]] = {}
            for room, (worth, bound, so_far) in states.items():
                taken = 0
                for loss, units, seconds, option_worth in options:
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
        units = min(bisect_right(last.ends, room) - 1, last.high)
        total = worth + last.worths[units]
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
