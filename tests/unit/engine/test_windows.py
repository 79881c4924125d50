"""Several windows by hand: what a task needs of them, how one is filled, how a day is put together."""

from bagatelle.engine.day_of_visits import BodyOrder, Grounds
from bagatelle.engine.problem import Duties, Item, Problem
from bagatelle.engine.visit_task import VisitTask
from bagatelle.engine.window_bound import relaxed_problem, visits_needed
from bagatelle.engine.window_fill import Stay, fill
from bagatelle.engine.window_pack import pack
from bagatelle.engine.windows import WindowsPlan, plan_windows

from tests.unit.engine.numbers import item


def problem_of(*items: Item, seconds: int, prepare: bool = False, music: bool = False) -> Problem:
    """Floors at the chunk."""
    return Problem(
        items=items,
        budget_seconds=seconds,
        capacity_seconds=seconds,
        floor_mode="chunk",
        duties=Duties(prepare=prepare, music=music, task_limit=9),
        curve=2.0,
    )


def tasks_of(problem: Problem) -> tuple[VisitTask, ...]:
    return tuple(VisitTask(index, one, problem, 1) for index, one in enumerate(problem.items))


def planned(problem: Problem, *windows: int, ranks: dict[str, int] | None = None) -> WindowsPlan | None:
    def order_of(task: str) -> BodyOrder:
        return ((ranks or {}).get(task, 1), False, False, 0, task)

    return plan_windows(problem, windows, order_of)


def visits(plan: WindowsPlan | None) -> list[tuple[int, str, int, int]]:
    assert plan is not None
    return [(each.window, each.task, each.first_unit, each.units) for each in plan.visits]


def test_visits_that_a_dose_needs() -> None:
    # Units of 60 s, at least two a visit, set-up 30: a window of 300 s holds 270 of them, one of 200 s 170.
    problem = problem_of(item("a", chunk_seconds=120, set_up_seconds=30), seconds=900)
    (task,) = tasks_of(problem)
    needed = visits_needed(task, (300, 200, 100))
    assert needed[:7] == [0, 10**6, 1, 1, 1, 2, 2]
    assert set(needed[7:]) == {10**6}


def test_a_relaxed_task_pays_for_the_visits_of_its_floor() -> None:
    big = item("big", chunk_seconds=60, largest_seconds=480, usual_seconds=480, set_up_seconds=30)
    problem = problem_of(big, seconds=900)
    (task,) = tasks_of(problem)
    task.low = 5
    relaxed = relaxed_problem(problem, (task,), (300, 300, 300), {})
    assert relaxed is not None
    # Five units need two visits; eight, the most that it has, fit two as well.
    assert relaxed.items[0].set_up_seconds == 60
    assert (task.low, task.high) == (5, 8)


def test_what_fits_no_window_is_left_out_and_if_it_must_be_kept_there_is_no_plan() -> None:
    long = item("long", unit_seconds=(400,), chunk_seconds=400)
    assert planned(problem_of(item("a"), long, seconds=600), 300, 300) is not None
    must = item("long", unit_seconds=(400,), chunk_seconds=400, must=True)
    assert planned(problem_of(item("a"), must, seconds=600), 300, 300) is None


def test_two_visits_share_a_window_the_best_way() -> None:
    problem = problem_of(
        item("a", chunk_seconds=60), item("b", chunk_seconds=60, unit_seconds=(100,), weight=1.1), seconds=500
    )
    stays = [Stay(task, 0, 0, 1, task.high) for task in tasks_of(problem)]
    filled = fill(stays, 320)
    assert filled is not None
    # Every share that goes in: 60 s units of the one, 100 s units of the other.
    first, second = (stay.task for stay in stays)
    shares = [(n, m) for n in range(1, 6) for m in range(1, 4) if 60 * n + 100 * m <= 320]
    best = max(shares, key=lambda share: first.worths[share[0]] + second.worths[share[1]])
    assert tuple(filled.units) == best
    assert filled.left == 320 - 60 * best[0] - 100 * best[1]


def test_a_window_too_small_for_its_visits_is_not_filled() -> None:
    problem = problem_of(item("a", chunk_seconds=120, set_up_seconds=30), seconds=600)
    (task,) = tasks_of(problem)
    assert fill([Stay(task, 0, 0, 2, task.high)], 149) is None
    assert fill([Stay(task, 0, 0, 2, task.high)], 150) == ([2], 0)


def test_one_that_finds_no_place_makes_another_go_elsewhere() -> None:
    # The piece of 300 s fits the last window alone, where the first found its best place.
    problem = problem_of(
        item("a", unit_seconds=(150,), chunk_seconds=150, largest_seconds=150),
        item("b", unit_seconds=(300,), chunk_seconds=300, largest_seconds=300),
        seconds=500,
    )
    tasks = tasks_of(problem)
    grounds = Grounds(problem=problem, windows=(200, 300), tasks=tasks, task_limit=9, forbidden=None)
    assert pack(tasks, {0: 1, 1: 1}, grounds) == [(0, 0, 1), (1, 1, 1)]


def test_a_task_longer_than_any_window_goes_on_where_it_stopped() -> None:
    plan = planned(problem_of(item("a", chunk_seconds=120, set_up_seconds=30), seconds=700), 350, 350)
    # Set-up 30 and five units of 60 in each.
    assert visits(plan) == [(0, "a", 0, 5), (1, "a", 5, 5)]
    assert plan is not None
    assert plan.doses == {"a": 10}


def test_what_prepares_visits_a_window_before_what_strains() -> None:
    warm = item("warm", chunk_seconds=60, largest_seconds=240, usual_seconds=240, prepares=True)
    hard = item("hard", chunk_seconds=300, strains=True, weight=3.0)
    problem = problem_of(hard, warm, seconds=900, prepare=True)
    plan = planned(problem, 240, 660, ranks={"warm": 0, "hard": 2})
    assert visits(plan) == [(0, "warm", 0, 4), (1, "hard", 0, 11)]


def test_a_day_opens_with_high_strain_only_where_nothing_else_is() -> None:
    easy, hard = item("easy", chunk_seconds=60), item("hard", chunk_seconds=300, strains=True, weight=3.0)
    plan = planned(problem_of(easy, hard, seconds=900), 600, 300, ranks={"easy": 1, "hard": 3})
    assert visits(plan)[0][1] == "easy"
    alone = planned(problem_of(hard, seconds=900), 600, 300, ranks={"hard": 3})
    assert visits(alone)[0][1] == "hard"


def test_a_plan_that_meets_its_bound_is_proved() -> None:
    plan = planned(
        problem_of(item("a", chunk_seconds=60), item("b", chunk_seconds=60), seconds=600), 300, 300
    )
    assert plan is not None
    assert plan.proved
    assert plan.worth == plan.bound
    assert plan.doses == {"a": 5, "b": 5}


def test_what_is_to_come_early_does_where_the_windows_hold_it() -> None:
    first, second = (
        item(name, unit_seconds=(300,), chunk_seconds=300, largest_seconds=300)
        for name in ("first", "second")
    )
    for ranks in ({"first": 0, "second": 1}, {"first": 1, "second": 0}):
        plan = planned(problem_of(first, second, seconds=600), 300, 300, ranks=ranks)
        assert [task for _, task, _, _ in visits(plan)] == sorted(ranks, key=ranks.__getitem__)
