"""Knapsack instances with known optima, through the same solver as everybody's routine.

A 0-1 knapsack is a routine of run-throughs: each item is a task of one unit that takes as many seconds as the
item weighs, and of a weight that makes its whole length worth exactly a thousand times the item's value
(`1000 * (v / w) * w`). No duties, no limit, floors of one unit. `test_items_are_worth_their_values` holds that
nothing is lost on the way.

P01 to P08: J. Burkardt, data set KNAPSACK_01 (MIT licence); P04 is an example of Martello and Toth, "Knapsack
Problems" (1990). KV3 and KV7: further instances of a public copy of it, knapsack_values.py. AD1: the
`knapsack` example of the R package adagio. The data were read in public copies; the optima were computed by
full enumeration and by CP-SAT, and each best set is the only one. The selection stored for P06 in a public
copy (worth 1652) is not optimal; 1735 is. HIKE: the list of 22 things for a hike at rosettacode.org,
"Knapsack problem/0-1"; data from memory, the published optimum is 1030 at a weight of 396.

Not here: multiple-choice instances with values of their own. A dose's worth is always `w T g(t / T)`, a curve of
two numbers, so the options of a class with three or more arbitrary values cannot be said as doses of one task.
The classes of two options, nothing or the item, are the instances below. Problems with many doses a task are
compared with general solvers in `test_optimum_equals_general_solvers.py`.
"""

from typing import Final

import pytest
from bagatelle.engine.doses import worth_of
from bagatelle.engine.problem import Duties, Item, Problem
from bagatelle.engine.search import best_plan
from msgspec import Struct

from tests.outside import cp_sat, highs


class Knapsack(Struct, frozen=True):
    """Capacity, values, weights; the best value, the weight at it, and the only best set where it is known."""

    capacity: int
    values: str
    weights: str
    best_value: int
    best_weight: int
    best_set: str | None

    def pairs(self) -> list[tuple[int, int]]:
        """(value, weight) of each item."""
        return [
            (int(value), int(weight))
            for value, weight in zip(self.values.split(), self.weights.split(), strict=True)
        ]


PUBLISHED: Final = {
    "P01": Knapsack(
        165,
        "92 57 49 68 60 43 67 84 87 72",
        "23 31 29 44 53 38 63 85 89 82",
        309,
        165,
        "1111010000",
    ),
    "P02": Knapsack(26, "24 13 23 15 16", "12 7 11 8 9", 51, 26, "01110"),
    "P03": Knapsack(190, "50 50 64 46 50 5", "56 59 80 64 75 17", 150, 190, "110010"),
    "P04": Knapsack(50, "70 20 39 37 7 5 10", "31 10 20 19 4 3 6", 107, 50, "1001000"),
    "P05": Knapsack(104, "350 400 450 20 70 8 5 5", "25 35 45 5 25 3 2 2", 900, 104, "10111011"),
    "P06": Knapsack(170, "442 525 511 593 546 564 617", "41 50 49 59 55 57 60", 1735, 169, "0101001"),
    "P07": Knapsack(
        750,
        "135 139 149 150 156 163 173 184 192 201 210 214 221 229 240",
        "70 73 77 80 82 87 90 94 98 106 110 113 115 118 120",
        1458,
        749,
        "101010111000011",
    ),
    "P08": Knapsack(
        6404180,
        "825594 1677009 1676628 1523970 943972 97426 69666 1296457 1679693 1902996 1844992 1049289 "
        "1252836 1319836 953277 2067538 675367 853655 1826027 65731 901489 577243 466257 369261",
        "382745 799601 909247 729069 467902 44328 34610 698150 823460 903959 853665 551830 "
        "610856 670702 488960 951111 323046 446298 931161 31385 496951 264724 224916 169684",
        13549094,
        6402560,
        "110111000110100100000111",
    ),
    "KV3": Knapsack(20, "175 90 20 50 10 200", "10 9 4 2 1 20", 275, 20, "110010"),
    "KV7": Knapsack(
        67,
        "505 352 458 220 354 414 498 545 473 543",
        "23 26 20 18 32 27 29 26 30 27",
        1270,
        67,
        "1001000100",
    ),
    "AD1": Knapsack(102, "15 100 90 60 40 15 10 1", "2 20 20 30 40 30 60 10", 280, 102, "11110100"),
    "HIKE": Knapsack(
        400,
        "150 35 200 160 60 45 60 40 30 10 70 30 15 10 40 70 75 80 20 12 50 10",
        "9 13 153 50 15 68 27 39 23 52 11 32 24 48 73 42 43 22 7 18 4 30",
        1030,
        396,
        None,
    ),
}


def routine_of(knapsack: Knapsack, *, share_set_up: bool) -> Problem:
    """The instance as a planning problem; half of each weight as set-up if wanted."""
    items = []
    for place, (value, weight) in enumerate(knapsack.pairs()):
        set_up = weight // 2 if share_set_up else 0
        played = weight - set_up
        items.append(
            Item(
                id=f"{place:02d}",
                weight=value / played,
                usual_seconds=played,
                largest_seconds=played,
                unit_seconds=(played,),
                chunk_seconds=1,
                set_up_seconds=set_up,
            )
        )
    return Problem(
        items=tuple(items),
        budget_seconds=knapsack.capacity,
        capacity_seconds=knapsack.capacity,
        floor_mode="unit",
        duties=Duties(prepare=False, music=False, task_limit=len(items)),
        curve=2.0,
    )


every_instance = pytest.mark.parametrize("name", PUBLISHED)
either_way = pytest.mark.parametrize("share_set_up", [False, True], ids=["no set-up", "half as set-up"])


@every_instance
@either_way
def test_items_are_worth_their_values(name: str, share_set_up: bool) -> None:
    problem = routine_of(PUBLISHED[name], share_set_up=share_set_up)
    worths = [worth_of(item, item.usual_seconds, problem.curve) for item in problem.items]
    assert worths == [1000 * value for value, _ in PUBLISHED[name].pairs()]


@every_instance
@either_way
def test_published_optimum(name: str, share_set_up: bool) -> None:
    knapsack = PUBLISHED[name]
    found = best_plan(routine_of(knapsack, share_set_up=share_set_up))
    assert found is not None
    assert found.proved
    assert found.worth == found.bound == 1000 * knapsack.best_value
    chosen = "".join("1" if f"{place:02d}" in found.doses else "0" for place in range(len(knapsack.pairs())))
    weight = sum(weight for mark, (_, weight) in zip(chosen, knapsack.pairs(), strict=True) if mark == "1")
    assert weight == knapsack.best_weight
    assert knapsack.best_set in {None, chosen}


@every_instance
def test_general_solvers_find_published_optimum(name: str) -> None:
    """The formulations that judge the engine meet the same published values."""
    problem = routine_of(PUBLISHED[name], share_set_up=False)
    values = [value for value, _ in PUBLISHED[name].pairs()]
    for doses in (cp_sat.Model(problem).solve(), highs.Model(problem).solve()):
        assert doses is not None
        assert sum(values[int(place)] for place in doses) == PUBLISHED[name].best_value
