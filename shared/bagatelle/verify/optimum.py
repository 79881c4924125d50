"""The best plan of one window, found by plain dynamic programming.

Task after task, all ways to go on are kept that might still matter: for each count of tasks and each state
of the rules the points (seconds used, worth) that no other point beats in both. A point goes where even the
best use of what is left, rules aside, would not bring it past the worth that is asked about.
"""

from collections import defaultdict
from collections.abc import Iterator
from typing import Final, NamedTuple, TypeAlias

from msgspec import Struct

WORK_LIMIT: Final = 20_000_000
"""Additions that one question may take: some seconds."""

NEVER: Final = -(10**15)
Point: TypeAlias = tuple[int, int]
"""Seconds used, worth."""


class TooBigError(Exception):
    """The question would take more work than is allowed."""


class Candidate(Struct, frozen=True, kw_only=True):
    """A task that a plan may keep, and the doses that it may get."""

    id: str
    must: bool
    prepares: bool
    strains: bool
    music: bool
    warm_up: bool = False
    stand_in: bool = False
    """A warm-up beside the routine: alone it is no plan, and with or without it a set of tasks is the same."""
    doses: tuple[Point, ...]
    """Cost in seconds (set-up with it) and worth of each, cheapest first."""


class Window(Struct, frozen=True, kw_only=True):
    """What is asked: which plan of these candidates is worth most."""

    candidates: tuple[Candidate, ...]
    capacity_seconds: int
    count_limit: int
    prepare: bool
    """Whether a straining task needs a preparing one."""
    music: bool
    """Whether there must be music."""
    more: bool = False
    """Whether there must be more than warm-ups."""
    other_than: frozenset[str] | None = None
    """A set of tasks that does not count."""


class State(NamedTuple):
    """What the rules need to know of the choices so far."""

    kept: int = 0
    """How many count: the first that prepares comes on top."""
    topped: bool = False
    filled: bool = False
    prepared: bool = False
    strained: bool = False
    music: bool = False
    same: bool = False
    """Whether the tasks so far are those of `other_than`."""


def best_worth(window: Window, *, more_than: int = -1, work_limit: int = WORK_LIMIT) -> int | None:
    """The greatest worth of a legal plan, or None where no legal plan is worth more than `more_than`.

    :raises TooBigError: where that would take too much work.
    """
    ceilings = _ceilings(window, work_limit)
    fronts = {State(same=window.other_than is not None): [(0, 0)]}
    work = 0
    for candidate, ceiling in zip(window.candidates, ceilings[1:], strict=True):
        grown: dict[State, list[Point]] = defaultdict(list)
        for state, front in fronts.items():
            for after, doses in _ways_on(state, candidate, window):
                work += len(front) * len(doses)
                if work > work_limit:
                    raise TooBigError
                grown[after] += _extended(front, doses, ceiling, window.capacity_seconds, more_than)
        fronts = {state: _unbeaten(points) for state, points in grown.items() if points}
    ends = [front[-1][1] for state, front in fronts.items() if _legal_end(state, window)]
    return max(ends, default=None)


def legal_plan_exists(window: Window) -> bool:
    """Whether any plan is legal.

    Each task costs least at its floor, so that its floor alone is tried; and a task that need not be kept and
    serves no rule only takes room, so that it is left out.
    """
    least = {State(same=window.other_than is not None): 0}
    for candidate in window.candidates:
        grown: dict[State, int] = {}
        for state, used in least.items():
            for after, doses in _ways_on(state, candidate, window):
                cost = used + doses[0][0]
                idle = after._replace(kept=state.kept, topped=state.topped, strained=state.strained) == state
                if cost <= window.capacity_seconds and (cost == used or candidate.must or not idle):
                    grown[after] = min(cost, grown.get(after, cost))
        least = grown
    return any(_legal_end(state, window) for state in least)


def _ceilings(window: Window, work_limit: int) -> list[list[int]]:
    """For each candidate and number of seconds, the most that it and those after it give, rules aside."""
    size = window.capacity_seconds + 1
    if size * sum(len(candidate.doses) + 1 for candidate in window.candidates) > work_limit:
        raise TooBigError
    ceilings = [[0] * size]
    for candidate in reversed(window.candidates):
        after = ceilings[-1]
        here = [NEVER] * size if candidate.must else after[:]
        for cost, worth in candidate.doses:
            if cost < size:
                here[cost:] = map(max, here[cost:], [worth + other for other in after[: size - cost]])
        ceilings.append(here)
    ceilings.reverse()
    return ceilings


def _ways_on(state: State, candidate: Candidate, window: Window) -> Iterator[tuple[State, tuple[Point, ...]]]:
    """Leave the candidate out, or take it: the state after that, and the doses that lead there."""
    named = window.other_than is not None and candidate.id in window.other_than
    left, taken = state.same and not named, state.same and named
    if candidate.stand_in:
        left = taken = state.same
    if not candidate.must:
        yield state._replace(same=left), ((0, 0),)
    counts = state.topped or not candidate.prepares
    if not counts or state.kept < window.count_limit:
        after = State(
            kept=state.kept + counts,
            topped=state.topped or candidate.prepares,
            filled=state.filled or not (candidate.stand_in or (window.more and candidate.warm_up)),
            prepared=state.prepared or (window.prepare and candidate.prepares),
            strained=state.strained or (window.prepare and candidate.strains),
            music=state.music or (window.music and candidate.music),
            same=taken,
        )
        yield after, candidate.doses


def _extended(
    front: list[Point], doses: tuple[Point, ...], ceiling: list[int], capacity: int, more_than: int
) -> list[Point]:
    points = []
    for used, worth in front:
        for cost, gain in doses:
            if used + cost > capacity:
                break
            if worth + gain + ceiling[capacity - used - cost] > more_than:
                points.append((used + cost, worth + gain))
    return points


def _unbeaten(points: list[Point]) -> list[Point]:
    """Those of the points that are worth more than every cheaper one; cheapest first."""
    kept: list[Point] = []
    for used, worth in sorted(points, key=lambda point: (point[0], -point[1])):
        if not kept or worth > kept[-1][1]:
            kept.append((used, worth))
    return kept


def _legal_end(state: State, window: Window) -> bool:
    prepared = state.prepared or not state.strained
    music = state.music or not window.music
    return state.filled and prepared and music and not state.same
