"""A day of several windows arranged for the body, by hand. Common practice, no source."""

import pytest
from bagatelle.engine.day_of_visits import RANKS, BodyOrder
from bagatelle.engine.layout import Visit
from bagatelle.engine.problem import Duties, Item, Problem
from bagatelle.engine.windows import arranged_visits

from tests.unit.engine.numbers import item

LOW, MODERATE, HIGH = RANKS["low"], RANKS["moderate"], RANKS["high"]


def task(name: str, rank: int, *units: int, music: bool = False) -> tuple[Item, int]:
    """A task with its place in the order of the body; every unit is a useful piece of it."""
    made = item(
        name,
        unit_seconds=units,
        usual_seconds=sum(units),
        largest_seconds=sum(units),
        chunk_seconds=min(units),
        set_up_seconds=0,
        music=music,
        strains=rank >= MODERATE,
        prepares=rank == 0,
    )
    return made, rank


def visit(window: int, name: str, seconds: int, units: int = 1) -> Visit:
    return Visit(window=window, task=name, first_unit=0, units=units, seconds=seconds, set_up_seconds=0)


def arranged(
    tasks: list[tuple[Item, int]], windows: list[int], visits: list[Visit], warm_up: str | None = None
) -> list[tuple[int, str, int]]:
    ranks = {made.id: rank for made, rank in tasks}
    problem = Problem(
        items=tuple(made for made, _ in tasks),
        budget_seconds=sum(windows),
        capacity_seconds=sum(windows),
        floor_mode="chunk",
        duties=Duties(prepare=False, task_limit=9),
        curve=2.0,
    )

    def order_of(name: str) -> BodyOrder:
        return (ranks[name], False, False, 0, name)

    found = arranged_visits(problem, windows, order_of, visits, warm_up)
    return [(each.window, each.task, each.units) for each in found]


@pytest.mark.parametrize(
    ("first", "last", "windows"),
    [
        (200, 100, [(0, "easy"), (0, "waltz"), (1, "song")]),  # there is room in the first window
        (
            300,
            60,
            [(0, "easy"), (0, "song"), (1, "waltz")],
        ),  # the waltz makes room for it and what it leads to
        (300, 350, [(0, "waltz"), (1, "easy"), (1, "song")]),  # neither
    ],
)
def test_the_own_warm_up_comes_to_the_first_window(
    first: int, last: int, windows: list[tuple[int, str]]
) -> None:
    tasks = [task("easy", 0, 60), task("song", LOW, last), task("waltz", LOW, first)]
    visits = [visit(0, "waltz", first), visit(1, "easy", 60), visit(1, "song", last)]
    long = max(360, 60 + last)
    assert [each[:2] for each in arranged(tasks, [300, long], visits, "easy")] == windows


def test_it_stays_where_its_window_would_begin_with_strain_without_it() -> None:
    tasks = [task("easy", 0, 60), task("octaves", HIGH, 100), task("waltz", LOW, 290)]
    visits = [visit(0, "waltz", 290), visit(1, "easy", 60), visit(1, "octaves", 100)]
    kept = [(0, "waltz", 1), (1, "easy", 1), (1, "octaves", 1)]
    assert arranged(tasks, [300, 160], visits, "easy") == kept


def test_much_strain_waits_for_easier_work_and_a_scale_is_shared_out_for_it() -> None:
    """Thirds after bows alone at 08:15, and the whole scale hours later: the hand is not ready."""
    scale = task("scale", LOW, 100, 100, 100, 100)
    tasks = [task("bows", 0, 240), scale, task("thirds", HIGH, 340)]
    visits = [visit(0, "bows", 240), visit(0, "thirds", 340), visit(1, "scale", 400, 4)]
    assert arranged(tasks, [600, 450], visits) == [
        (0, "bows", 1),
        (0, "scale", 3),
        (1, "scale", 1),
        (1, "thirds", 1),
    ]


def test_a_third_visit_joins_another_where_there_is_room() -> None:
    tasks = [task("march", LOW, 60, 60, 60, music=True), task("song", LOW, 200, music=True)]
    visits = [visit(0, "march", 60), visit(1, "march", 60), visit(2, "march", 60), visit(2, "song", 200)]
    found = arranged(tasks, [120, 60, 300], visits)
    assert sorted(units for _, name, units in found if name == "march") == [1, 2]


def test_a_short_easy_thing_opens_a_window_that_would_begin_with_a_piece() -> None:
    tasks = [task("concerto", LOW, 600, music=True), task("scale", LOW, 100)]
    visits = [visit(1, "concerto", 600), visit(1, "scale", 100)]
    assert arranged(tasks, [60, 720], visits) == [(1, "scale", 1), (1, "concerto", 1)]


def test_a_long_one_does_not() -> None:
    tasks = [task("concerto", LOW, 600, music=True), task("scale", LOW, 130)]
    visits = [visit(1, "concerto", 600), visit(1, "scale", 130)]
    assert arranged(tasks, [60, 740], visits) == [(1, "concerto", 1), (1, "scale", 1)]


def test_a_warm_up_leads_to_something() -> None:
    # The dance comes into the gap that held a warm-up alone; what is left of that goes to the gap of the dance.
    tasks = [task("easy", 0, 60, 60), task("dance", LOW, 200), task("song", LOW, 200)]
    visits = [visit(0, "easy", 120, units=2), visit(1, "dance", 200), visit(1, "song", 200)]
    assert arranged(tasks, [300, 460], visits, "easy") == [
        (0, "easy", 1),
        (0, "dance", 1),
        (1, "easy", 1),
        (1, "song", 1),
    ]
