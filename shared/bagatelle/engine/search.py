"""The optimum over all legal plans of one window: which tasks are kept, and with which doses.

A search over sets of tasks, each valued exactly by `allocation`. One price of a second, found once, turns every
task into a gain; sets are built from the greatest gain down, and a branch ends when the gains that are left
cannot lift it over the best plan known. The duties are met at the level of sets, so the doses need not know them.

The bound is Lagrange's: for every price `p >= 0` and every legal plan, `worth <= p * capacity + sum of gains`,
where a task's gain is the most that `worth - p * cost` can be over its doses.
"""

import math
from collections.abc import Iterator, Sequence
from contextlib import suppress
from typing import Final

from msgspec import Struct

from bagatelle.engine.allocation import Best, Steps, StepsUsedUpError, try_doses
from bagatelle.engine.candidates import ROUNDING, Candidate, candidates_of
from bagatelle.engine.pricing import common_price
from bagatelle.engine.problem import Problem

STEP_LIMIT: Final = 200_000


class Optimum(Struct, frozen=True, kw_only=True):
    """The best plan found, and how good a plan could be at most."""

    worth: int
    bound: int
    proved: bool
    steps: int
    doses: dict[str, int]
    """Task id -> units, in ascending order of id."""

    @property
    def kept(self) -> frozenset[str]:
        """Ids of the tasks that the plan keeps."""
        return frozenset(self.doses)


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
        A tighter limit than the problem's.

    Notes
    -----
    Exponential in the worst case; a few hundred steps on the routines that people have.
    """
    return PlanSearch(problem).best(step_limit=step_limit, forbidden_set=forbidden_set, task_limit=task_limit)


class PlanSearch:
    """The search of one problem, prepared once and run as often as other plans are wanted."""

    def __init__(self, problem: Problem) -> None:
        self._capacity = problem.capacity_seconds
        self._duties = problem.duties
        self._limit = problem.duties.task_limit
        self._must = [item.id for item in problem.items if item.must]
        candidates = candidates_of(problem)
        self._missing_must = len([c for c in candidates if c.must]) < len(self._must)
        self._log_price = common_price(candidates, self._capacity, self._limit)
        self._order(candidates)

    def _order(self, candidates: list[Candidate]) -> None:
        """Must first, then the greatest gain; twins side by side."""
        price = math.exp(self._log_price)
        gains = {}
        for candidate in candidates:
            seconds, value = candidate.best_at(self._log_price, price)
            gains[candidate.item.id] = value - price * (seconds + candidate.set_up) + ROUNDING
        candidates.sort(key=lambda c: (not c.must, -gains[c.item.id], c.item.id))
        for index, candidate in enumerate(candidates):
            candidate.index = index
        self._ordered = candidates
        self._gains = [gains[candidate.item.id] for candidate in candidates]
        self._sums = [0.0]
        for gain in self._gains:
            self._sums.append(self._sums[-1] + max(gain, 0.0))
        self._must_count = sum(candidate.must for candidate in candidates)
        self._twin_before = _twins_before(candidates)
        self._best_music_from = _best_from(self._gains, [c.music for c in candidates])
        self._best_preparing_from = _best_from(self._gains, [c.prepares for c in candidates])
        self._base = price * self._capacity

    def best(
        self,
        *,
        step_limit: int = STEP_LIMIT,
        forbidden_set: frozenset[str] | None = None,
        task_limit: int | None = None,
    ) -> Optimum | None:
        """As `best_plan`."""
        limit = self._duties.task_limit
        self._limit = limit if task_limit is None else min(limit, task_limit)
        self._forbidden = forbidden_set
        self._begin(step_limit)
        if self._missing_must or self._must_count > self._limit:
            return None
        start = self._ordered[: self._must_count]
        root = self._base + sum(self._gains[: self._must_count])
        root_bound = self._branch_bound(
            self._must_count,
            self._limit - self._must_count,
            root,
            lacks_music=self._lacks_music(start),
            lacks_preparing=self._lacks_preparing(start),
        )
        self._value_first(start)
        self._value_priced(start)
        proved = self._closes(start, root)
        best = self._best
        if best.doses is None:
            return None
        bound = best.worth if proved else max(math.floor(root_bound + 1e-6), best.worth)
        return Optimum(
            worth=best.worth,
            bound=bound,
            proved=bound == best.worth,
            steps=self._steps.used,
            doses=dict(sorted(best.doses.items())),
        )

    def _value_first(self, start: list[Candidate]) -> None:
        """Value a smallest legal set, so that a search that runs out of steps still has a plan."""
        legal = (
            chosen
            for first in self._smallest(start)
            for chosen in self._with_preparing(first)
            if self._is_legal(chosen)
        )
        chosen = next(legal, None)
        if chosen is not None:
            with suppress(StepsUsedUpError):
                try_doses(chosen, self._capacity, self._best, self._steps)

    def _value_priced(self, start: list[Candidate]) -> None:
        """Value the set that the common price alone would choose: of many tasks it is near the best at once."""
        chosen = list(start)
        cost = sum(candidate.low_cost for candidate in chosen)
        for candidate, gain in zip(self._ordered, self._gains, strict=True):
            fits = len(chosen) < self._limit and cost + candidate.low_cost <= self._capacity
            if not candidate.must and gain > ROUNDING and fits:
                chosen.append(candidate)
                cost += candidate.low_cost
        if self._is_legal(chosen):
            with suppress(StepsUsedUpError):
                try_doses(chosen, self._capacity, self._best, self._steps)

    def _smallest(self, start: list[Candidate]) -> Iterator[list[Candidate]]:
        """The tasks that must be kept, with one that is music or one at all where that is wanted."""
        if start and not self._lacks_music(start):
            yield start
        for candidate in sorted(self._ordered, key=lambda c: (c.strains, c.low_cost, c.index)):
            if candidate not in start and (candidate.music or not self._duties.music):
                yield [*start, candidate]

    def _with_preparing(self, chosen: list[Candidate]) -> Iterator[list[Candidate]]:
        if not self._lacks_preparing(chosen):
            yield chosen
        for candidate in sorted(self._ordered, key=lambda c: (c.low_cost, c.index)):
            if candidate.prepares and candidate not in chosen:
                yield [*chosen, candidate]

    def _is_legal(self, chosen: Sequence[Candidate]) -> bool:
        return (
            0 < len(chosen) <= self._limit
            and sum(candidate.low_cost for candidate in chosen) <= self._capacity
            and not self._lacks_music(chosen)
            and not self._lacks_preparing(chosen)
            and not _holds_idle(chosen)
            and self._forbidden != frozenset(candidate.item.id for candidate in chosen)
        )

    def _begin(self, step_limit: int) -> None:
        self._steps = Steps(step_limit)
        self._best = Best()

    def _closes(self, start: list[Candidate], root: float) -> bool:
        """Run the search; whether it ended within its steps."""
        try:
            self._grow(self._must_count, start, sum(c.low_cost for c in start), root)
        except StepsUsedUpError:
            return False
        return True

    def _branch_bound(
        self, position: int, room: int, gained: float, *, lacks_music: bool, lacks_preparing: bool
    ) -> float:
        """No set that adds at most `room` tasks from `position` on to what is gained is worth more."""
        sums = self._sums
        end = min(position + room, len(sums) - 1)
        bound = gained + sums[end] - sums[position]
        if room <= 0 or not (lacks_music or lacks_preparing):
            return bound
        but_one = gained + sums[max(end - 1, position) if end - position == room else end] - sums[position]
        if lacks_music:
            bound = min(bound, but_one + self._best_music_from[position])
        if lacks_preparing:
            bound = min(bound, but_one + self._best_preparing_from[position])
        return bound

    def _lacks_music(self, chosen: Sequence[Candidate]) -> bool:
        return self._duties.music and not any(candidate.music for candidate in chosen)

    def _lacks_preparing(self, chosen: Sequence[Candidate]) -> bool:
        return (
            self._duties.prepare
            and any(candidate.strains for candidate in chosen)
            and not any(candidate.prepares for candidate in chosen)
        )

    def _grow(self, position: int, chosen: list[Candidate], cost: int, gained: float) -> None:
        """Value every set that adds to these tasks some from `position` on, the fuller ones first."""
        room = self._limit - len(chosen)
        if room > 0:
            lacks_music, lacks_preparing = self._lacks_music(chosen), self._lacks_preparing(chosen)
            for index in range(position, len(self._ordered)):
                bound = self._branch_bound(
                    index, room, gained, lacks_music=lacks_music, lacks_preparing=lacks_preparing
                )
                if bound < self._best.worth + 1:
                    break
                candidate = self._ordered[index]
                twin = self._twin_before[index]
                if twin is not None and (not chosen or chosen[-1].index < twin):
                    continue
                self._steps.take()
                if cost + candidate.low_cost <= self._capacity:
                    self._grow(
                        index + 1,
                        [*chosen, candidate],
                        cost + candidate.low_cost,
                        gained + self._gains[index],
                    )
        self._value(chosen, gained)

    def _value(self, chosen: list[Candidate], gained: float) -> None:
        if gained >= self._best.worth + 1 and self._is_legal(chosen):
            try_doses(chosen, self._capacity, self._best, self._steps)


def _holds_idle(chosen: Sequence[Candidate]) -> bool:
    """Whether the stand-in is in the set without being needed."""
    if not any(candidate.item.stand_in for candidate in chosen):
        return False
    return not any(c.strains for c in chosen) or sum(c.prepares for c in chosen) > 1


def _twins_before(ordered: Sequence[Candidate]) -> list[int | None]:
    """For each task the position of the one just before it that no plan can tell from it, if any.

    A set that keeps a task but not its twin before it is worth as much as the one with the two changed round.
    """
    keys = [candidate.twin_key() for candidate in ordered]
    return [i - 1 if i > 0 and keys[i] == keys[i - 1] else None for i in range(len(keys))]


def _best_from(gains: Sequence[float], wanted: Sequence[bool]) -> list[float]:
    """For each position the greatest gain of a wanted task from there on."""
    best = [-math.inf] * (len(gains) + 1)
    for position in range(len(gains) - 1, -1, -1):
        best[position] = max(best[position + 1], gains[position] if wanted[position] else -math.inf)
    return best
