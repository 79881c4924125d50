"""What must be kept gives way only where it can't be met, the most important duty last; floors fall only as far
as needed. Against every set of tasks there is, with the floors counted up unit by unit.

Order of the duties: prepared before strain, each task pinned always (by id), more than a warm-up, music,
not too many tasks. The routine's own warm-up comes last: nothing else, nor any floor, falls for it.
"""

import math
from collections.abc import Callable, Iterable
from fractions import Fraction
from itertools import combinations

from bagatelle.engine.budget import playing_seconds_of
from bagatelle.engine.problem import Duties, Item, Problem
from bagatelle.engine.terms import Routine, Terms, settle_terms
from bagatelle.model.vocabulary import FloorMode
from bagatelle.policy.table import Policy
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from tests.outside.options import least_units, seconds_by_units

Kept = tuple[Item, ...]
Duty = Callable[[Kept], bool]
MUSIC_FROM_SECONDS = 600  # common practice, no source
FIVE_MINUTES = 300  # common practice, no source
MODES: tuple[FloorMode, ...] = ("usual", "chunk", "unit")


@st.composite
def items(draw: st.DrawFn, name: str) -> Item:
    prepares = draw(st.integers(0, 3)) == 0
    usual = draw(st.integers(60, 1800))
    return Item(
        id=name,
        weight=1.0,
        usual_seconds=usual,
        largest_seconds=usual,
        unit_seconds=tuple(draw(st.lists(st.integers(20, 400), min_size=1, max_size=3))),
        chunk_seconds=draw(st.sampled_from((60, 120, 300, 900))),
        set_up_seconds=draw(st.sampled_from((0, 30, 120))),
        prepares=prepares,
        strains=not prepares and draw(st.booleans()),
        warm_up=prepares and draw(st.booleans()),
        music=not prepares and draw(st.integers(0, 2)) == 0,
        short_floor=prepares,
        must=draw(st.integers(0, 3)) == 0,
    )


@st.composite
def routines(draw: st.DrawFn) -> Routine:
    names = "abcde"[: draw(st.integers(1, 5))]
    drawn = tuple(draw(items(name)) for name in names)
    own = next((item.id for item in drawn if item.warm_up and not item.must), None)
    return Routine(items=drawn, stand_in=None, policy=Policy(), own_warm_up=own)


def cost(item: Item, budget: int, mode: FloorMode) -> int:
    problem = Problem(
        items=(item,),
        budget_seconds=playing_seconds_of(budget, Policy()),
        capacity_seconds=budget,
        floor_mode=mode,
        duties=Duties(task_limit=1),
        curve=2.0,
    )
    seconds = seconds_by_units(item)
    return item.set_up_seconds + seconds[least_units(problem, item, seconds) - 1]


def plans(routine: Routine, budget: int, mode: FloorMode) -> Iterable[Kept]:
    """Every set of tasks whose floors fit."""
    costs = {item.id: cost(item, budget, mode) for item in routine.items}
    for size in range(1, len(routine.items) + 1):
        for kept in combinations(routine.items, size):
            if sum(costs[item.id] for item in kept) <= budget:
                yield kept


def things(kept: Kept) -> int:
    """How many count: one that prepares comes on top."""
    return len(kept) - any(item.prepares for item in kept)


def as_on_the_usual_day(routine: Routine, budget: int) -> int:
    """How many things the usual day has in as long a time as the day plays; what prepares is no thing."""
    playing = playing_seconds_of(budget, Policy())
    whole = [
        item.set_up_seconds + seconds_by_units(replace(item, largest_seconds=item.usual_seconds))[-1]
        for item in routine.items
        if not item.prepares
    ]
    return min(math.floor(Fraction(playing * len(whole), sum(whole))), len(whole)) if whole else 0


def is_prepared(kept: Kept) -> bool:
    return any(item.prepares for item in kept) or not any(item.strains for item in kept)


def has_music(kept: Kept) -> bool:
    return any(item.music for item in kept)


def is_more(kept: Kept) -> bool:
    return not all(item.warm_up for item in kept)


def keeps(name: str) -> Duty:
    return lambda kept: any(item.id == name for item in kept)


def met(duties: list[Duty], found: list[Kept]) -> list[Kept]:
    return [kept for kept in found if all(duty(kept) for duty in duties)]


def expected_duties(routine: Routine, budget: int, found: list[Kept]) -> tuple[list[Duty], set[str]]:
    """The duties that can be met, taken one by one; and the names of those that can't."""
    asked: list[tuple[str, Duty]] = []
    if any(item.prepares for item in routine.items):
        asked.append(("prepare", is_prepared))
    asked += [(f"pin {item.id}", keeps(item.id)) for item in routine.items if item.must]
    if is_more(routine.items):
        asked.append(("more", is_more))
    if budget >= MUSIC_FROM_SECONDS and has_music(routine.items):
        asked.append(("music", has_music))
    duties: list[Duty] = []
    unmet: set[str] = set()
    for name, duty in asked:
        if met([*duties, duty], found):
            duties.append(duty)
        else:
            unmet.add(name)
    return duties, unmet


def is_wanted(routine: Routine, budget: int) -> bool:
    """Whether the own warm-up is asked for: from five minutes on, where a chunk takes no more than a third."""
    own = [item for item in routine.items if item.id == routine.own_warm_up]
    return budget >= FIVE_MINUTES and any(
        3 * cost(item, budget, "chunk") <= playing_seconds_of(budget, Policy()) for item in own
    )


def said_unmet(terms: Terms) -> set[str]:
    said = {f"pin {name}" for name in terms.unmet_pins}
    if terms.unmet_music:
        said.add("music")
    if terms.unmet_preparing:
        said.add("prepare")
    if not terms.problem.duties.more and is_more(terms.problem.items):
        said.add("more")
    return said


@given(routines(), st.integers(60, 2400))
@settings(max_examples=300)
def test_only_what_cannot_be_met_gives_way(routine: Routine, budget: int) -> None:
    smallest = list(plans(routine, budget, "unit"))
    terms = settle_terms(routine, budget, budget, budget)
    assert (terms is None) == (not smallest)
    if terms is None:
        return
    duties, unmet = expected_duties(routine, budget, smallest)
    assert said_unmet(terms) == unmet
    needed = max(min(things(kept) for kept in met(duties, smallest)), 1)
    limit = max(2, budget // 360, as_on_the_usual_day(routine, budget))
    assert terms.problem.duties.task_limit == max(limit, needed)
    assert terms.raised_limit == (needed > limit)
    for mode in MODES:
        few = [kept for kept in plans(routine, budget, mode) if things(kept) <= max(limit, needed)]
        if met(duties, few):
            assert terms.problem.floor_mode == mode
            kept = met([*duties, keeps(routine.own_warm_up or "")], few)
            wanted = is_wanted(routine, budget)
            assert terms.own_warm_up == (routine.own_warm_up if wanted and kept else None)
            assert terms.unmet_own_warm_up == (wanted and not kept)
            break
