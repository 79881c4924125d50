"""The cheapest plan that meets a choice of duties: whether a budget can meet them at all."""

from collections.abc import Sequence
from typing import Final, NamedTuple

from bagatelle.engine.doses import floor_units, scale_of
from bagatelle.engine.problem import Item, things
from bagatelle.model.vocabulary import FloorMode

_BEYOND_ANY_CAPACITY: Final = 10**9


class Demand(NamedTuple):
    """A choice of duties."""

    prepare: bool = False
    must: frozenset[str] = frozenset()
    music: bool = False
    more: bool = False
    """Something that is no warm-up."""


class _Least(NamedTuple):
    """The cheapest plan that meets a demand."""

    cost: int
    things: int
    """One that prepares comes on top."""


class Time(NamedTuple):
    """What a budget holds."""

    budget: int
    playing: int
    """Of the budget in one window: what the floors go by, so that they do not grow where only rest is added."""
    capacity: int
    largest_visit: int


def is_feasible(items: Sequence[Item], time: Time, mode: FloorMode, demand: Demand, at_most: int) -> bool:
    """Whether some plan of at most so many things meets the demand within the capacity."""
    least = _least_plan(items, time, mode, demand, at_most)
    return least is not None and least.cost <= time.capacity


def least_cost(item: Item, playing_seconds: int, mode: FloorMode) -> int:
    """Set-up and floor of a task."""
    scale = scale_of(item)
    return item.set_up_seconds + scale.seconds(floor_units(item, scale, playing_seconds, mode))


def smallest_visit(item: Item, mode: FloorMode) -> int:
    """Set-up and smallest useful visit of a task; a floor that is longer may be reached in several visits."""
    return least_cost(item, 0, "unit" if mode == "unit" else "chunk")


def _least_plan(
    items: Sequence[Item], time: Time, mode: FloorMode, demand: Demand, at_most: int
) -> _Least | None:
    """The cheapest plan that meets the demand with at most so many things; None where there is none.

    It holds what must be kept, one that is music or no warm-up if none of these is, one that prepares if one of
    these strains, and one task if that is nothing yet: nothing else could make it cheaper.
    """
    starts = _starts(items, time, mode, demand)
    preparing = None
    if demand.prepare and any(item.strains for start in starts for item, _ in start):
        preparing = min((_cost(item, time, mode) for item in items if item.prepares), default=None)
    found = [_completed(start, preparing, demand) for start in starts]
    fits = [least for least in found if least is not None and least.things <= at_most]
    return min(fits, key=lambda least: (least.cost, least.things), default=None)


def _starts(
    items: Sequence[Item], time: Time, mode: FloorMode, demand: Demand
) -> list[list[tuple[Item, int]]]:
    """What must be kept, with one that is music, no warm-up, or one at all where that is wanted; with costs."""
    base = [(item, _cost(item, time, mode)) for item in items if item.id in demand.must]
    if demand.music and not any(item.music for item, _ in base):
        wanted = [item for item in items if item.music]
    elif demand.more and all(item.warm_up for item, _ in base):
        wanted = [item for item in items if not item.warm_up]
    elif base:
        return [base]
    else:
        wanted = [item for item in items if not item.stand_in]
    return [[*base, (item, _cost(item, time, mode))] for item in wanted]


def _cost(item: Item, time: Time, mode: FloorMode) -> int:
    """Set-up and floor; more than any capacity where not even a smallest visit fits a window."""
    if smallest_visit(item, mode) > time.largest_visit:
        return _BEYOND_ANY_CAPACITY
    return least_cost(item, time.playing, mode)


def _completed(start: Sequence[tuple[Item, int]], preparing: int | None, demand: Demand) -> _Least | None:
    cost = 0
    strains = prepared = False
    for item, of_item in start:
        cost += of_item
        strains = strains or item.strains
        prepared = prepared or item.prepares
    if demand.prepare and strains and not prepared:
        if preparing is None:
            return None
        return _Least(cost=cost + preparing, things=len(start))
    return _Least(cost=cost, things=things([item for item, _ in start]))
