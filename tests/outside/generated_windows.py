"""Days of several windows for ordinary routines, each made again by its index alone."""

from hashlib import sha256
from random import Random
from typing import Final

from bagatelle.engine.day_of_visits import BodyOrder
from bagatelle.engine.problem import Duties, Item, Problem
from msgspec import Struct, json
from msgspec.structs import replace

from tests.outside.generated import CURVE, capacity_of_one_window, ordinary_items
from tests.outside.options import seconds_by_units
from tests.seeded import seeded

MINUTES: Final = (4, 5, 6, 7, 8, 10, 10, 12, 12, 15, 15, 18, 20, 20, 25, 30, 40)
MODERATE: Final = 2
HIGH: Final = 3
ITEM_FIELDS: Final = (
    "id", "weight", "usual_seconds", "largest_seconds", "unit_seconds", "chunk_seconds", "set_up_seconds",
    "strains", "prepares", "music", "short_floor", "must", "stand_in",
)  # fmt: skip
"""What a case's fingerprint goes by."""
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
        problem = self.problem
        items = [[getattr(item, field) for field in ITEM_FIELDS] for item in problem.items]
        duties = [problem.duties.prepare, problem.duties.music, problem.duties.task_limit]
        limits = [problem.budget_seconds, problem.capacity_seconds, problem.floor_mode, problem.curve]
        ranks = sorted(self.ranks.items())
        return sha256(json.encode([items, duties, limits, self.windows, ranks])).hexdigest()


def windows_case(index: int) -> WindowsCase:
    """The case of that index: 3 to 8 windows, 8 to 30 tasks, every rule on, the usual floors."""
    random = seeded(f"windows {index}")
    items = ordinary_items(random, random.randint(8, 30))
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
    seconds = seconds_by_units(item)
    chunk = next((end for end in seconds if end >= item.chunk_seconds), seconds[-1])
    return chunk + item.set_up_seconds


def _rank(random: Random, item: Item) -> int:
    if item.prepares:
        return 0
    return random.choice((MODERATE, HIGH)) if item.strains else 1
