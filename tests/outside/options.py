"""What each item may get, by plain counting: the common ground of every outside check.

Nothing of the engine's own arithmetic is used here but `worth_of`, which is the definition of worth. The
rules are written again from their wording, the slow way.
"""

from collections.abc import Mapping
from itertools import cycle, islice

from bagatelle.engine.doses import worth_of
from bagatelle.engine.problem import Item, Problem
from msgspec import Struct


class Option(Struct, frozen=True):
    """One dose of one item: its units, what it takes of the capacity, and its worth."""

    units: int
    cost_seconds: int
    worth: int


def seconds_of_dose(item: Item, units: int) -> int:
    """The first so many units in rotation order, going round again."""
    return sum(item.unit_seconds[place % len(item.unit_seconds)] for place in range(units))


def worth_of_doses(problem: Problem, doses: Mapping[str, int]) -> int:
    """Worth of a plan, legal or not, from its units by task."""
    items = {item.id: item for item in problem.items}
    return sum(
        worth_of(items[name], seconds_of_dose(items[name], units), problem.curve)
        for name, units in doses.items()
    )


def seconds_by_units(item: Item) -> list[int]:
    """Seconds of every dose: at place n - 1 those of n units.

    The last is the largest that stays within the item's largest seconds; one unit where even that is longer.
    """
    seconds = [item.unit_seconds[0]]
    for unit in islice(cycle(item.unit_seconds), 1, None):
        if seconds[-1] + unit > item.largest_seconds:
            break
        seconds.append(seconds[-1] + unit)
    return seconds


def usual_chunk_seconds(item: Item) -> int:
    """The first units that reach the chunk, all of them where they do not."""
    seconds = seconds_by_units(item)
    return next((end for end in seconds if end >= item.chunk_seconds), seconds[-1])


def chunk_seconds(problem: Problem, item: Item) -> int:
    """The smallest visit; a second, where floors have fallen to a unit, as no unit is shorter."""
    return 1 if problem.floor_mode == "unit" else usual_chunk_seconds(item)


def least_units(problem: Problem, item: Item, seconds: list[int]) -> int:
    """The floor of the item, counted up unit by unit."""
    if problem.floor_mode == "unit":
        return 1
    floor = 1
    while floor < len(seconds) and seconds[floor - 1] < item.chunk_seconds:
        floor += 1
    if problem.floor_mode == "chunk" or item.short_floor:
        return floor
    target = min(item.usual_seconds, problem.budget_seconds) / 2 - item.set_up_seconds
    while floor < len(seconds) and seconds[floor] <= target:
        floor += 1
    return floor


def options_of(problem: Problem, item: Item) -> list[Option]:
    """Every dose of the item that fits the capacity and that no cheaper dose of it is worth as much as."""
    options: list[Option] = []
    all_seconds = seconds_by_units(item)
    for units in range(least_units(problem, item, all_seconds), len(all_seconds) + 1):
        seconds = all_seconds[units - 1]
        cost = item.set_up_seconds + seconds
        worth = worth_of(item, seconds, problem.curve)
        if cost > problem.capacity_seconds:
            break
        if not options or worth > options[-1].worth:
            options.append(Option(units, cost, worth))
    return options


def what_is_wrong(problem: Problem, doses: dict[str, int]) -> list[str]:
    """Every rule that these doses break, in words; empty for a legal plan."""
    items = {item.id: item for item in problem.items}
    if unknown := sorted(set(doses) - set(items)):
        return [f"unknown tasks {unknown}"]
    kept = [items[name] for name in doses]
    wrong = [
        f"{item.id}: {doses[item.id]} units, legal are {least} to {most}"
        for item in kept
        for all_seconds in [seconds_by_units(item)]
        for least, most in [(least_units(problem, item, all_seconds), len(all_seconds))]
        if not least <= doses[item.id] <= most
    ]
    cost = sum(item.set_up_seconds + seconds_of_dose(item, doses[item.id]) for item in kept)
    if cost > problem.capacity_seconds:
        wrong.append(f"costs {cost} s of {problem.capacity_seconds} s")
    return wrong + _broken_rules(problem, kept)


def _broken_rules(problem: Problem, kept: list[Item]) -> list[str]:
    duties = problem.duties
    missing = [item.id for item in problem.items if item.must and item not in kept]
    straining = any(item.strains for item in kept)
    rules = {
        "the plan is empty": not kept,
        f"{len(kept)} tasks, the limit is {duties.task_limit}": len(kept)
        - any(item.prepares for item in kept)
        > duties.task_limit,
        f"must be kept: {missing}": bool(missing),
        "strain without preparation": duties.prepare
        and straining
        and not any(item.prepares for item in kept),
        "nothing but a warm-up": duties.more and all(item.warm_up for item in kept),
        "no music": duties.music and not any(item.music for item in kept),
    }
    return [rule for rule, broken in rules.items() if broken]
