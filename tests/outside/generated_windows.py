"""Days of several windows for ordinary routines, each made again by its index alone."""

from hashlib import sha256
from random import Random
from typing import Final

from bagatelle.engine.day_of_visits import BodyOrder
from bagatelle.engine.problem import Duties, Item, Problem
from msgspec import Struct, json
from msgspec.structs import replace

from tests.outside.generated import CURVE, capacity_of_one_window, ordinary_items
from tests.outside.options import usual_chunk_seconds
from tests.seeded import seeded

MINUTES: Final = (4, 5, 6, 7, 8, 10, 10, 12, 12, 15, 15, 18, 20, 20, 25, 30, 40)
MODERATE: Final = 2
HIGH: Final = 3
STAND_IN: Final = Item(
    id="00-stand-in",
    weight=0.0,
    usual_seconds=120,
    largest_seconds=120,
    unit_seconds=(40, 35, 45),
    chunk_seconds=120,
    set_up_seconds=0,
    prepares=True,
    short_floor=True,
    warm_up=True,
    stand_in=True,
)
"""The two-minute warm-up of an instrument, where a routine has nothing that prepares."""


class WindowsCase(Struct, frozen=True):
    """A problem whose capacity comes in windows."""

    problem: Problem
    windows: tuple[int, ...]
    """Playing seconds of each, in the order of the day."""
    ranks: dict[str, int]
    """Task id -> 0 what prepares, 1 little strain, 2 moderate, 3 high."""

    def order_of(self, task: str) -> BodyOrder:
        """The order that the body wants."""
        return (self.ranks[task], False, False, 0, task)

    def fingerprint(self) -> str:
        """SHA-256 of every number in it."""
        return sha256(json.encode([self.problem, self.windows, sorted(self.ranks.items())])).hexdigest()


def windows_case(index: int) -> WindowsCase:
    """The case of that index: 3 to 8 windows, 8 to 30 tasks, every rule on, the usual floors."""
    random = seeded(f"windows {index}")
    items = [
        replace(item, warm_up=item.id.endswith("-warm-up"))
        for item in ordinary_items(random, random.randint(8, 30))
    ]
    windows = [60 * random.choice(MINUTES) for _ in range(random.randint(3, 8))]
    if not any(item.prepares for item in items):
        items = [STAND_IN, *items]
    usual = sum(item.usual_seconds for item in items)
    budget = min(sum(windows), usual // 2)
    playing = tuple(capacity_of_one_window(window) for window in windows)
    longest = min(max(playing), budget)
    problem = Problem(
        items=tuple(_keepable(item, longest) for item in items),
        budget_seconds=capacity_of_one_window(budget),
        capacity_seconds=min(sum(playing), budget),
        floor_mode="usual",
        duties=Duties(
            prepare=True,
            music=budget >= 600 and any(item.music and _smallest_visit(item) <= longest for item in items),
            more=any(not item.warm_up and _smallest_visit(item) <= longest for item in items),
            task_limit=max(2, budget // 300),
        ),
        curve=CURVE,
    )
    ranks = {item.id: _rank(random, item) for item in items}
    return WindowsCase(problem, playing, ranks)


def _keepable(item: Item, longest: int) -> Item:
    """Pinned only where a smallest visit fits a window: else the pin has given way before the solver is asked."""
    return replace(item, must=item.must and _smallest_visit(item) <= longest)


def _smallest_visit(item: Item) -> int:
    return usual_chunk_seconds(item) + item.set_up_seconds


def _rank(random: Random, item: Item) -> int:
    if item.prepares:
        return 0
    return random.choice((MODERATE, HIGH)) if item.strains else 1
