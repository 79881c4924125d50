"""The optimum over all legal plans of one window: which tasks are kept, and with which doses.

A search over sets of tasks, each valued exactly by `allocation`. One price of a second, found once, turns every
task into a gain; sets are built from the greatest gain down, and a branch ends when the gains that are left
cannot lift it over the best plan known. The duties are met at the level of sets, so the doses need not know them.

The bound is Lagrange's: for every price `p >= 0` and every legal plan, `worth <= p * capacity + sum of gains`,
where a task's gain is the most that `worth - p * cost` can be over its doses.
"""

import math
from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from functools import cache
from itertools import pairwise
from typing import Final

from bagatelle.engine.allocation import Best, Steps, StepsUsedUpError, try_doses
from bagatelle.engine.candidates import (
    ALL_FLAGS,
    MORE,
    MUSIC,
    PREPARES,
    PREPARING,
    ROUNDING,
    STANDS_IN,
    STRAINS,
    Candidate,
    Curve,
    candidates_of,
    curves_of,
)
from bagatelle.engine.pricing import common_price
from bagatelle.engine.problem import Optimum, Problem

STEP_LIMIT: Final = 100_000


def best_plan(
    problem: Problem,
    *,
    step_limit: int = STEP_LIMIT,
    forbidden_set: frozenset[str] | None = None,
    task_limit: int | None = None,
) -> Optimum | None:
    """The legal plan of greatest worth, or None where no plan is legal.

    Parameters
    ----------
    problem
        What to plan.
    step_limit
        After so many steps the best plan so far is given, with `proved` false.
    forbidden_set
        A set of tasks that the plan must differ from, by at least one task.
    task_limit
        A tighter limit of things than the problem's.

    Notes
    -----
    Exponential in the worst case; a few hundred steps on the routines that people have.
    """
    return PlanSearch(problem).best(step_limit=step_limit, forbidden_set=forbidden_set, task_limit=task_limit)


class PlanSearch:
    """The search of one problem, prepared once and run as often as other plans are wanted.

    Parameters
    ----------
    problem
        What to plan.
    curves
        Those of its items, of `curves_of`; all problems of the same items can share them.
    near_log_price
        Where to begin to look for the common price: that of a problem much like this one.
    """

    def __init__(
        self,
        problem: Problem,
        curves: Mapping[str, Curve] | None = None,
        near_log_price: float | None = None,
    ) -> None:
        self._capacity = problem.capacity_seconds
        self._duties = problem.duties
        candidates = candidates_of(problem, curves or curves_of(problem.items, problem.curve))
        self._on_top = any(candidate.flags & PREPARING for candidate in candidates)
        found = {candidate.id for candidate in candidates}
        self._missing_must = any(item.must and item.id not in found for item in problem.items)
        most = problem.duties.task_limit + self._on_top
        price = common_price(candidates, self._capacity, most, near_log_price)
        self.log_price = price.logarithm
        self._base = math.exp(price.logarithm) * self._capacity
        for candidate, gain in zip(candidates, price.gains, strict=True):
            candidate.gain = gain
        self._order(candidates)
        duties = problem.duties
        self._lacks = _lacks(music=duties.music, prepare=duties.prepare, more=duties.more)

    def _order(self, candidates: list[Candidate]) -> None:
        """Must first, then the greatest gain; twins side by side."""
        candidates.sort(key=_rank)
        self._ordered = candidates
        self._must = tuple(candidate for candidate in candidates if candidate.must)
        for index, candidate in enumerate(candidates):
            candidate.index = index
        self._sums = _sums_of_gains(candidates)
        self._twin_before = _twins_before(candidates)
        self._twins_end = _ends(self._twin_before)
        self._best_from: dict[int, list[float]] = {}
        self._best_on_top = (
            [max(gain, 0.0) for gain in _best_from(candidates, PREPARING)] if self._on_top else []
        )

    def best(
        self,
        *,
        step_limit: int = STEP_LIMIT,
        forbidden_set: frozenset[str] | None = None,
        task_limit: int | None = None,
    ) -> Optimum | None:
        """As `best_plan`."""
        limit = self._duties.task_limit
        self._things = limit if task_limit is None else min(limit, task_limit)
        self._limit = self._things + self._on_top
        self._forbidden = forbidden_set
        self._steps = Steps(step_limit)
        self._best = best = Best()
        must = self._must
        if self._missing_must or not self._holds(len(must), _flags(must)) or _cost(must) > self._capacity:
            return None
        gained = math.fsum((self._base, *(candidate.gain for candidate in must)))
        root_bound = self._bound(
            *self._still_wanted(_flags(must)), gained, len(must), self._limit - len(must)
        )
        with suppress(StepsUsedUpError):
            self._value_first()
        proved = self._closes(gained)
        if best.doses is None:
            return None
        bound = best.worth if proved else max(math.floor(root_bound + 1e-6), best.worth)
        return Optimum(
            worth=best.worth,
            bound=bound,
            steps=self._steps.used,
            doses=dict(sorted(best.doses.items())),
        )

    def _value_first(self) -> None:
        """Value a good set, so that the search has something to beat; one at least, if any is legal.

        The set that the common price alone would choose is near the best. Where it breaks a duty, that with one
        piece of music chosen before, the best that goes; else the smallest sets are tried.
        """
        chosen = next(filter(self._is_legal, self._good_sets()), None)
        if chosen is not None:
            try_doses(chosen, self._capacity, self._best, self._steps, self.log_price)

    def _good_sets(self) -> Iterator[tuple[Candidate, ...]]:
        """Legal or not, the best first: by the price, by the price round a piece of music, and without strain."""
        must = self._must
        seeds = [must]
        if self._duties.music and not _flags(must) & MUSIC:
            seeds.extend((*must, one) for one in self._ordered[len(must) :] if one.flags & MUSIC)
        for barred in (0, STRAINS):
            for seed in seeds:
                yield self._priced(seed, barred)
        for first in self._smallest():
            yield from self._with_preparing(first)

    def _priced(self, first: Sequence[Candidate], barred: int) -> tuple[Candidate, ...]:
        """These, one that is music, one that prepares, and the greatest gains; none more of a barred kind."""
        chosen = list(first)
        cost = _cost(chosen)
        flags = _flags(chosen)
        wanted = (MUSIC if self._duties.music else 0) | (PREPARES if self._duties.prepare else 0)
        wanted &= ~flags
        for candidate in self._ordered[len(self._must) :]:
            free = self._limit - len(chosen)
            if free <= 0:
                break
            if candidate in first or candidate.flags & barred:
                continue
            useful = candidate.flags & wanted
            room_kept = (wanted & ~candidate.flags).bit_count()
            gains = candidate.gain > ROUNDING or useful
            fits = free > room_kept and cost + candidate.low_cost <= self._capacity
            fits = fits and self._holds(len(chosen) + 1, flags | candidate.flags)
            if gains and fits and not candidate.flags & STANDS_IN:
                chosen.append(candidate)
                cost += candidate.low_cost
                flags |= candidate.flags
                wanted &= ~candidate.flags
        return tuple(chosen)

    def _smallest(self) -> Iterator[tuple[Candidate, ...]]:
        """The tasks that must be kept, with one that is music or one at all where that is wanted."""
        must = self._must
        if must and not self._lacks[_flags(must)] & (MUSIC | MORE):
            yield must
        left = self._capacity - _cost(must)
        fitting = [candidate for candidate in self._ordered if candidate.low_cost <= left]
        for candidate in sorted(fitting, key=lambda c: (c.flags & STRAINS, c.low_cost, c.index)):
            if candidate not in must and not self._lacks[candidate.flags] & (MUSIC | MORE):
                yield (*must, candidate)

    def _with_preparing(self, chosen: tuple[Candidate, ...]) -> Iterator[tuple[Candidate, ...]]:
        if not self._lacks[_flags(chosen)] & PREPARES:
            yield chosen
        left = self._capacity - _cost(chosen)
        preparing = [c for c in self._ordered if c.flags & PREPARING and c.low_cost <= left]
        for candidate in sorted(preparing, key=lambda c: (c.low_cost, c.index)):
            if candidate not in chosen:
                yield (*chosen, candidate)

    def _is_legal(self, chosen: Sequence[Candidate]) -> bool:
        return (
            len(chosen) > 0
            and self._holds(len(chosen), _flags(chosen))
            and _cost(chosen) <= self._capacity
            and not self._lacks[_flags(chosen)]
            and not self._is_forbidden(chosen)
        )

    def _holds(self, tasks: int, flags: int) -> bool:
        """Whether a day holds so many tasks of these flags together; counted as by `things` of `problem`."""
        return tasks - bool(flags & PREPARING) <= self._things

    def _closes(self, gained: float) -> bool:
        """Run the search; whether it ended within its steps."""
        must = self._must
        try:
            self._grow(must, _cost(must), gained, _flags(must), len(must))
        except StepsUsedUpError:
            return False
        return True

    def _still_wanted(self, flags: int) -> tuple[int, int]:
        """Of a set of these flags: what its duties lack, and how many places are for what prepares alone."""
        return self._lacks[flags] & (MUSIC | PREPARES), int(self._on_top and not flags & PREPARING)

    def _bound(self, lacks: int, on_top: int, gained: float, position: int, room: int) -> float:
        """No set that adds at most `room` tasks from `position` on is worth more.

        To a set worth at most `gained`, of which `lacks` and `on_top` say what `_still_wanted` says.
        """
        sums = self._sums
        end = min(position + room, len(sums) - 1)
        bound = gained + sums[end] - sums[position]
        if not (lacks or on_top) or room <= 0:
            return bound
        last = max(end - 1, position) if end - position == room else end
        but_one = gained + sums[last] - sums[position]
        if on_top:
            bound = min(bound, but_one + self._best_on_top[position])
        if lacks & MUSIC:
            bound = min(bound, but_one + self._best_gain(MUSIC, position))
        if lacks & PREPARES:
            bound = min(bound, but_one + self._best_gain(PREPARING, position))
        return bound

    def _best_gain(self, wanted: int, position: int) -> float:
        """The greatest gain from a position on of a task with one of these flags."""
        if wanted not in self._best_from:
            self._best_from[wanted] = _best_from(self._ordered, wanted)
        return self._best_from[wanted][position]

    def _grow(
        self, chosen: tuple[Candidate, ...], cost: int, gained: float, flags: int, position: int
    ) -> None:
        """Value every set that adds to these tasks some from `position` on, the fuller ones first."""
        room = self._limit - len(chosen)
        if room > 0:
            ordered, best = self._ordered, self._best
            count = len(ordered)
            last_index = chosen[-1].index if chosen else -1
            left = self._capacity - cost
            lacks, on_top = self._still_wanted(flags)
            index = position
            while index < count:
                if self._bound(lacks, on_top, gained, index, room) < best.worth + 1:
                    break
                self._steps.take()
                candidate = ordered[index]
                twin = self._twin_before[index]
                if twin is not None and last_index < twin:
                    index = self._twins_end[index]
                    continue
                index += 1
                if candidate.low_cost <= left and (room > on_top or candidate.flags & PREPARING):
                    self._grow(
                        (*chosen, candidate),
                        cost + candidate.low_cost,
                        gained + candidate.gain,
                        flags | candidate.flags,
                        index,
                    )
        if (
            gained >= self._best.worth + 1
            and chosen
            and not self._lacks[flags]
            and self._holds(len(chosen), flags)
            and not self._is_forbidden(chosen)
        ):
            try_doses(chosen, self._capacity, self._best, self._steps, self.log_price)

    def _is_forbidden(self, chosen: Sequence[Candidate]) -> bool:
        return self._forbidden is not None and self._forbidden == {candidate.id for candidate in chosen}


@cache
def _lacks(*, music: bool, prepare: bool, more: bool) -> tuple[int, ...]:
    """For the flags of a set what the duties still ask of it, as flags; nothing if the set may be.

    `STANDS_IN` where the stand-in is there without being needed: then no task more makes it legal but one that
    strains.
    """
    lacks = []
    for flags in range(ALL_FLAGS):
        no_music = music and not flags & MUSIC
        no_more = more and not flags & MORE
        unprepared = prepare and flags & STRAINS and not flags & (PREPARES | STANDS_IN)
        idle = flags & STANDS_IN and (not flags & STRAINS or flags & PREPARES)
        lacks.append(
            (MUSIC if no_music else 0)
            | (MORE if no_more else 0)
            | (PREPARES if unprepared else 0)
            | (STANDS_IN if idle else 0)
        )
    return tuple(lacks)


def _cost(chosen: Sequence[Candidate]) -> int:
    """Set-ups and floors."""
    return sum(candidate.low_cost for candidate in chosen)


def _flags(chosen: Sequence[Candidate]) -> int:
    flags = 0
    for candidate in chosen:
        flags |= candidate.flags
    return flags


def _rank(candidate: Candidate) -> tuple[bool, float, str]:
    return (not candidate.must, -candidate.gain, candidate.id)


def _twins_before(ordered: Sequence[Candidate]) -> list[int | None]:
    """For each task the position of the one just before it that no plan can tell from it, if any.

    A set that keeps a task but not its twin before it is worth as much as the one with the two changed round.
    """
    twins: list[int | None] = [None] * len(ordered)
    for index, (one, other) in enumerate(pairwise(ordered)):
        if one.gain == other.gain and one.twin_key() == other.twin_key():
            twins[index + 1] = index
    return twins


def _ends(twin_before: Sequence[int | None]) -> list[int]:
    """For each position the one after the last of its twins."""
    end = len(twin_before)
    ends = [end] * end
    for position in range(end - 1, -1, -1):
        ends[position] = end
        if twin_before[position] is None:
            end = position
    return ends


def _sums_of_gains(ordered: Sequence[Candidate]) -> list[float]:
    """For each position the sum of the gains before it, where they are gains."""
    total = 0.0
    sums = [total]
    for candidate in ordered:
        if candidate.gain > 0:
            total += candidate.gain
        sums.append(total)
    return sums


def _best_from(ordered: Sequence[Candidate], wanted: int) -> list[float]:
    """For each position the greatest gain from there on of a task with one of these flags."""
    best = -math.inf
    best_from = [best]
    for candidate in reversed(ordered):
        if candidate.flags & wanted and candidate.gain > best:
            best = candidate.gain
        best_from.append(best)
    best_from.reverse()
    return best_from
