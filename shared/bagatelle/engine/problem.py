"""The planning problem as numbers: what each task costs and is worth at one budget.

A *dose* of n units takes the first n units in rotation order, going round again. A *plan* gives some tasks a
dose. Legal is a plan that

- gives each kept task at least its floor and at most its largest dose,
- costs no more than the capacity, where a task costs its set-up and the seconds of its dose,
- keeps no more things than the limit: a task that prepares comes on top, the others count,
- keeps every task that it must, and none that is not available,
- keeps a preparing task if it keeps a straining one (where that duty holds),
- keeps a task that is music (where that duty holds),
- keeps a task that is no warm-up (where that duty holds),
- keeps the stand-in only where it is the one task that prepares, and something strains,
- is not empty.

Its worth is the sum of its doses' worths. The optimum is the legal plan of greatest worth.
"""

from collections.abc import Collection, Container, Mapping
from typing import Protocol, TypeAlias

from msgspec import Struct

from bagatelle.model.vocabulary import FloorMode

Doses: TypeAlias = Mapping[str, int]
"""Task id -> number of units, at least 1. A task that is not kept is not in it."""


class Item(Struct, frozen=True, kw_only=True):
    """One task as the solver sees it, whatever the budget."""

    id: str
    weight: float
    usual_seconds: int
    largest_seconds: int
    """The most playing seconds it may get. A task whose first unit is longer may still get that one unit."""
    unit_seconds: tuple[int, ...]
    """In rotation order."""
    chunk_seconds: int
    set_up_seconds: int
    strains: bool = False
    prepares: bool = False
    music: bool = False
    short_floor: bool = False
    must: bool = False
    warm_up: bool = False
    stand_in: bool = False
    """The warm-up that stands in: kept only beside something that strains and has nothing else before it."""


class Duties(Struct, frozen=True, kw_only=True):
    """Which rules hold for the plans of one budget."""

    prepare: bool = True
    """A straining task needs a preparing one."""
    music: bool = False
    """At least one task that is music."""
    more: bool = False
    """At least one task that is no warm-up."""
    task_limit: int
    """Of things; see `things`."""


class MayPrepare(Protocol):
    """A task in any shape that says whether it prepares."""

    @property
    def prepares(self) -> bool:
        """Whether it prepares for what strains."""


def things(tasks: Collection[MayPrepare]) -> int:
    """How many of the tasks of a plan count: one that prepares comes on top of what a day holds."""
    return len(tasks) - any(task.prepares for task in tasks)


class Problem(Struct, frozen=True, kw_only=True):
    """One window, one budget: choose doses of the items."""

    items: tuple[Item, ...]
    """In ascending order of id; only those that are available."""
    budget_seconds: int
    """The playing time of the budget in one window: what the floors go by."""
    capacity_seconds: int
    """The budget less the rests that a long window gives up."""
    floor_mode: FloorMode
    duties: Duties
    curve: float
    """The k of `worth_of`."""

    def things(self, kept: Container[str]) -> int:
        """How many of the tasks with these ids count."""
        return things([item for item in self.items if item.id in kept])


class Optimum(Struct, frozen=True, kw_only=True):
    """The best plan found, and how good a plan could be at most."""

    worth: int
    bound: int
    steps: int
    doses: dict[str, int]
    """Task id -> units, in ascending order of id."""

    @property
    def proved(self) -> bool:
        """Whether no plan is worth more."""
        return self.worth == self.bound
