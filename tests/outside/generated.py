"""Planning problems as practice routines make them, each made again by its index alone.

Nine in ten are ordinary routines: warm-ups, tone work, technique, reading, ear, pieces. One in ten is made to
be hard: tasks that hardly differ, budgets that hold next to nothing, or nothing but what strains. Problems
without any legal plan are kept: to find that out is part of the job.
"""

from collections.abc import Callable
from random import Random
from typing import Final

from bagatelle.engine.problem import Duties, Item, Problem
from bagatelle.model.vocabulary import FloorMode
from msgspec.structs import replace

from tests.seeded import seeded

CURVE: Final = 2.0

# The factors that a weight is the product of.
STAGES: Final = {"maintaining": 1.0, "refining": 0.95, "learning": 0.70, "new": 0.45}
CONCRETENESS: Final = (1.0, 0.85, 0.60)
CIRCUMSTANCES: Final = (1.0, 1.0, 1.0, 1.2, 0.7, 0.5)
PINS: Final = (1.0, 1.0, 1.0, 1.0, 1.0, 1.0, 1.5, 0.67)

HARD_EVERY: Final = 10
"""Every tenth index is a hard problem."""


def generated_problem(index: int) -> Problem:
    """The problem of that index, 0 or more: always the same one."""
    random = seeded(f"problem {index}")
    if index % HARD_EVERY == HARD_EVERY - 1:
        make = HARD_KINDS[index // HARD_EVERY % len(HARD_KINDS)]
        return make(random)
    return _ordinary_problem(random)


def typical_problem(index: int) -> Problem:
    """An ordinary routine of 8 to 24 tasks with every rule on, its usual floors, a budget of a usual kind."""
    random = seeded(f"typical {index}")
    items = ordinary_items(random, random.randint(8, 24))
    usual = sum(item.usual_seconds for item in items)
    budget = random.choice((900, max(300, usual // 4), max(300, usual // 3), max(300, usual // 2)))
    return _problem(items, budget, "usual", prepare=True, music=budget >= 600)


def capacity_of_one_window(window_seconds: int) -> int:
    """Seconds of set-ups and doses that one window holds: past 30 minutes, 5 of rest for each 25 of playing."""
    if window_seconds <= 1800:
        return window_seconds
    played = window_seconds
    while played > 1800 and played + 300 * (-(-played // 1500) - 1) > window_seconds:
        played -= 1
    return played


def _ordinary_problem(random: Random) -> Problem:
    items = ordinary_items(random, random.randint(3, 24))
    half = sum(item.usual_seconds for item in items) // 2
    budget = random.choice(
        (300, 600, 900, max(300, half // 2), max(300, half), random.randint(300, max(300, half)))
    )
    mode: FloorMode = random.choice(("usual", "usual", "usual", "chunk", "unit"))
    return _problem(
        items,
        min(budget, max(300, half)),
        mode,
        prepare=random.random() < 0.9,
        music=budget >= 600 and random.random() < 0.9,
        task_limit=random.choice((None, None, None, None, 1, 2, 3, len(items))),
    )


def _problem(
    items: list[Item],
    budget: int,
    mode: FloorMode,
    *,
    prepare: bool,
    music: bool,
    task_limit: int | None = None,
) -> Problem:
    # Where a routine has nothing that prepares, or no music, the rule does not hold for it; one in twenty
    # keeps it all the same, so that the solver also meets rules that cannot be kept.
    keep_anyway = budget % 20 == 0 and sum(item.usual_seconds for item in items) % 20 == 0
    items = [replace(item, warm_up=item.id.endswith("-warm-up")) for item in items]
    return Problem(
        items=tuple(items),
        budget_seconds=budget,
        capacity_seconds=capacity_of_one_window(budget),
        floor_mode=mode,
        duties=Duties(
            prepare=prepare and (keep_anyway or any(item.prepares for item in items)),
            music=music and (keep_anyway or any(item.music for item in items)),
            more=keep_anyway or any(not item.warm_up for item in items),
            task_limit=max(2, budget // 300) if task_limit is None else task_limit,
        ),
        curve=CURVE,
    )


def _weight(random: Random, stage: str) -> float:
    need = random.choice((1.0, round(random.uniform(0.5, 2.0), 3)))
    return (
        STAGES[stage]
        * random.choice(CONCRETENESS)
        * need
        * random.choice(CIRCUMSTANCES)
        * random.choice(PINS)
    )


def _catalogue_units(random: Random, usual: int) -> tuple[int, ...]:
    """Keys of a scale, rudiments: up to two dozen units, hardly two of one length."""
    middle = random.randint(30, 90)
    count = random.randint(1, max(1, min(24, usual // middle)))
    return tuple(random.randint(max(20, middle - 25), min(120, middle + 30)) for _ in range(count))


def _minutes_units(random: Random, usual: int) -> tuple[int, ...]:
    """A learner's own task without passages: it goes by the minute."""
    del random, usual
    return (60,)


def _passages(random: Random, usual: int) -> tuple[int, ...]:
    count = random.randint(2, 8)
    return tuple(random.randint(25, max(40, min(400, usual // 2))) for _ in range(count))


def _one_long_unit(random: Random, usual: int) -> tuple[int, ...]:
    """A run-through: all or nothing, and at times longer than the usual time."""
    return (usual if random.random() < 0.7 else round(usual * random.uniform(0.6, 1.2)),)


UnitMaker = Callable[[Random, int], tuple[int, ...]]

# area: unit makers, usual minutes from and to, chance of strain, prepares, music
AREAS: Final[dict[str, tuple[tuple[UnitMaker, ...], int, int, float, bool, bool]]] = {
    "warm-up": ((_catalogue_units, _minutes_units), 5, 10, 0.05, True, False),
    "tone": ((_catalogue_units, _minutes_units), 5, 15, 0.15, True, False),
    "technique": ((_catalogue_units, _catalogue_units, _minutes_units), 5, 30, 0.45, False, False),
    "reading": ((_minutes_units, _one_long_unit), 5, 15, 0.0, False, False),
    "ear": ((_minutes_units, _catalogue_units), 5, 20, 0.0, False, False),
    "piece": ((_passages, _passages, _minutes_units, _one_long_unit), 10, 60, 0.4, False, True),
}
AREA_SHARES: Final = ("warm-up", "tone", *("technique",) * 4, "reading", "ear", *("piece",) * 4)


def ordinary_items(random: Random, count: int) -> list[Item]:
    areas = ["warm-up", "piece", *(random.choice(AREA_SHARES) for _ in range(count - 2))]
    if random.random() < 0.15:
        areas[0] = "technique"
    return [_item(random, f"{place:02d}-{area}", area) for place, area in enumerate(areas)]


def _item(random: Random, name: str, area: str) -> Item:
    makers, least, most, strain_share, prepares, music = AREAS[area]
    usual = 60 * random.randint(least, most)
    if random.random() < 0.1:
        usual += 30
    strains = random.random() < strain_share
    stage = random.choice(tuple(STAGES))
    units = random.choice(makers)(random, usual)
    due_soon = random.random() < 0.1
    capped = strains and random.random() < 0.3
    return Item(
        id=name,
        weight=_weight(random, stage),
        usual_seconds=usual,
        largest_seconds=min(usual, 600) if capped else usual,
        unit_seconds=units,
        chunk_seconds=random.choice((60, 60, 90, 120, 120, 180, 240, 300, 600)),
        set_up_seconds=random.choice((0, 0, 0, 10, 15, 20, 30, 45, 60)),
        strains=strains,
        prepares=prepares and not strains,
        music=(music and stage in {"maintaining", "refining"}) or (music and due_soon),
        short_floor=prepares or due_soon,
        must=random.random() < 0.03,
    )


def near_identical_problem(random: Random) -> Problem:
    """Up to two dozen tasks of one length and nearly one weight, in units that never fill a window evenly."""
    usual = 60 * random.choice((10, 15, 20))
    middle = random.randint(37, 75)
    items = [
        Item(
            id=f"{place:02d}-near",
            weight=round(0.9 + random.uniform(-0.01, 0.01), 4),
            usual_seconds=usual,
            largest_seconds=usual,
            unit_seconds=tuple(middle + random.randint(-6, 6) for _ in range(random.randint(3, 12))),
            chunk_seconds=random.choice((60, 120)),
            set_up_seconds=random.choice((0, 7, 13)),
            strains=place % 3 == 1,
            prepares=place % 7 == 0,
            music=place % 5 == 0,
        )
        for place in range(random.randint(12, 24))
    ]
    budget = random.choice((1200, 1800, usual * len(items) // 4))
    mode: FloorMode = random.choice(("usual", "chunk", "unit"))
    return _problem(items, budget, mode, prepare=True, music=True)


def _tight(random: Random) -> Problem:
    """A budget that holds one or two smallest chunks, or none."""
    items = ordinary_items(random, random.randint(6, 24))
    mode: FloorMode = random.choice(("usual", "chunk", "unit"))
    return _problem(items, random.randint(60, 420), mode, prepare=True, music=random.random() < 0.5)


def _all_straining(random: Random) -> Problem:
    """Nothing but strain, and one or two things that prepare it, each worth little."""
    count = random.randint(10, 24)
    items = []
    for place in range(count):
        prepares = place in {0, count // 2}
        base = _item(
            random, f"{place:02d}-task", "tone" if prepares else random.choice(("technique", "piece"))
        )
        items.append(
            Item(
                id=base.id,
                weight=base.weight * (0.2 if prepares else 1.0),
                usual_seconds=base.usual_seconds,
                largest_seconds=base.largest_seconds,
                unit_seconds=base.unit_seconds,
                chunk_seconds=base.chunk_seconds,
                set_up_seconds=base.set_up_seconds,
                strains=not prepares,
                prepares=prepares,
                music=base.music,
                short_floor=base.short_floor,
            )
        )
    usual = sum(item.usual_seconds for item in items)
    return _problem(items, usual // random.choice((2, 4, 8)), "usual", prepare=True, music=True)


def _worth_as_cost(random: Random) -> Problem:
    """Short units of prime lengths and weights that differ in the last digits: near a subset sum."""
    items = [
        Item(
            id=f"{place:02d}-prime",
            weight=round(1 + random.uniform(0, 0.002), 6),
            usual_seconds=60 * random.randint(8, 20),
            largest_seconds=240,
            unit_seconds=(random.choice((53, 59, 61, 67, 71, 73, 79, 83, 89, 97)),),
            chunk_seconds=60,
            set_up_seconds=random.choice((3, 5, 7)),
            music=place == 0,
            prepares=place == 1,
        )
        for place in range(random.randint(12, 24))
    ]
    return _problem(items, random.randint(1500, 3600), "chunk", prepare=True, music=True)


HARD_KINDS: Final = (near_identical_problem, _tight, _all_straining, _worth_as_cost)
