"""What a step says: rounds, passes, lengths, and whether it goes on where another stopped."""

import pytest
from bagatelle.engine.steps import duration
from bagatelle.model.plan import Plan, Step

from tests.strategies import Sent, instruments, plan_of
from tests.unit.engine.numbers import day_that_plays, own_task, request


def steps(task: Sent, minutes: float, **fields: object) -> tuple[Step, ...]:
    """The task on a day that plays so many minutes, beside one that makes the half long enough."""
    never = own_task("never", 60, minutes=100, pin="never")
    return plan_of(request(task, never, circumstances=day_that_plays(minutes), **fields)).steps


@pytest.mark.parametrize(
    ("minutes", "how_much"),
    [
        (3.5, "each once through"),  # 180 s: one round of both
        (5.5, "line 1 twice through at most and line 2 once through"),  # 280 s
        (6.5, "each twice through at most"),  # 360 s
        (8.25, "line 1 three times through at most and line 2 twice through at most"),  # 460 s
    ],
)
def test_passes_of_all_rounds_are_counted_together(minutes: float, how_much: str) -> None:
    (step,) = steps(own_task("waltz", 100, 80, smallest_chunk_seconds=60), minutes)
    assert step.what == "Waltz: line 1 and line 2"
    leave = "; if not, leave it for next time" if "at most" in how_much else ""
    assert (step.how, step.how_much, step.done_when) == ("slowly", how_much, f"twice clean{leave}")
    assert step.seconds + step.set_up_seconds <= minutes * 60


@pytest.mark.parametrize("own", ["clean; where not, mark the bar", "It was clean.", "clean?"])
def test_a_finish_line_that_says_what_follows_stands_as_it_is(own: str) -> None:
    (step,) = steps(own_task("waltz", 100, 80, smallest_chunk_seconds=60, done_when=own), 6.5)
    assert "at most" in step.how_much
    assert step.done_when == own


def test_a_warm_up_is_not_left_for_next_time() -> None:
    easy = own_task("easy", 100, 80, smallest_chunk_seconds=60, area="warm-up", done_when="loose")
    (step,) = steps(easy, 6.5)
    assert (step.how_much, step.done_when) == ("each twice through at most", "loose")


def test_a_reed_is_scraped_for_so_long_and_a_song_is_gone_through() -> None:
    reed = own_task("reed", 300, area="warm-up", needs_instrument=False, strain="none")
    assert steps(reed, 6)[0].how_much == "5 minutes at most"
    assert steps(reed, 12)[0].how_much == "twice through at most"
    assert steps(reed | {"area": "repertoire"}, 6)[0].how_much == "once through"


def test_a_dose_of_part_of_the_units_names_only_these() -> None:
    (step,) = steps(own_task("waltz", 100, 80, 90, smallest_chunk_seconds=60), 3.75)
    assert step.what == "Waltz: line 1 and line 2"
    assert step.units == ("p1", "p2")


def test_passes_that_differ_are_said_for_each() -> None:
    task = own_task("waltz", 100, 26, smallest_chunk_seconds=60)
    task["passages"][1]["passes"] = 3
    (step,) = steps(task, 3.5)
    assert step.how_much == "line 1 once through and line 2 three times through at most"


def test_without_a_finish_line_of_the_learners_own_the_number_ends_the_step() -> None:
    task = own_task("waltz", 100, 26, smallest_chunk_seconds=60)
    del task["done_when"]
    task["passages"][1]["passes"] = 3
    (step,) = steps(task, 3.5)
    assert step.how_much == "line 1 once through and line 2 three times through"


def test_an_open_task_says_how_long() -> None:
    (step,) = steps({"title": "March", "area": "repertoire", "minutes": 20}, 6)
    assert step.how_much == "5½ minutes, then stop"
    assert set(step.filled_in) >= {"passages", "manner", "done_when"}


@pytest.mark.parametrize(
    ("seconds", "said"),
    [
        (1, "half a minute"),
        (44, "half a minute"),
        (46, "1 minute"),
        (90, "1½ minutes"),
        (120, "2 minutes"),
        (740, "12½ minutes"),
    ],
)
def test_lengths(seconds: int, said: str) -> None:
    assert instruments().wording.render(duration(seconds), "en-GB") == said


def windowed() -> Plan:
    task = own_task("waltz", 60, 60, 60, 60, minutes=60, smallest_chunk_seconds=60, set_up_seconds=30)
    windows = [{"minutes": 5}, {"minutes": 5}]
    return plan_of(request(task, circumstances={"windows": windows}))


def test_a_second_visit_goes_on_where_the_first_stopped() -> None:
    first, second = windowed().steps
    assert (first.window, first.continues, first.units) == (0, False, ("p1", "p2", "p3", "p4"))
    assert (second.window, second.continues, second.units) == (1, True, ("p1", "p2", "p3", "p4"))
    assert (first.set_up_seconds, second.set_up_seconds) == (30, 30)


@pytest.mark.parametrize(
    ("area", "all_of_them", "places"),
    [
        ("repertoire", ("p2", "p3", "p1"), [1, 0, 2]),
        ("technique", ("p1", "p2", "p3"), [2, 1, 0]),
    ],
)
def test_which_units_goes_by_rotation_and_music_begins_with_what_the_last_day_missed(
    area: str, all_of_them: tuple[str, ...], places: list[int]
) -> None:
    """The first line was done last: two units are the second and third, five are all of them and these again."""
    task = own_task("waltz", 60, 60, 60, smallest_chunk_seconds=60, area=area)
    history = [
        {"task": "waltz", "date": "2027-02-27", "seconds": 60, "units": ["p2"]},
        {"task": "waltz", "date": "2027-02-28", "seconds": 60, "units": ["p1"]},
    ]
    (two,), (five,) = (steps(task, minutes, date="2027-03-01", history=history) for minutes in (2.75, 5.75))
    assert two.units == ("p2", "p3")
    assert five.units == (*all_of_them, "p2", "p3")
    (piece,) = (each for each in plan_of(request(task, history=history, date="2027-03-01")).tasks)
    assert [unit.id for unit in piece.units] == ["p3", "p2", "p1"]
    assert [unit.place for unit in piece.units] == places


@pytest.mark.parametrize(
    ("minutes", "rounds"),
    [
        (2.25, ""),
        (3.5, "; then C again in the same way"),
        (4.25, "; all of that twice"),
        (5, "; all of that twice, then C again in the same way"),
        (5.75, "; all of that three times"),
    ],
)
def test_rounds_in_words(minutes: float, rounds: str) -> None:
    task = {"exercise": "piano.major-scale", "settings": {"keys": ["C", "G"]}, "minutes": 30}
    (step,) = steps(task | {"smallest_chunk_seconds": 60, "set_up_seconds": 0}, minutes, instrument="piano")
    assert step.how_much == f"four passes of each key, a breath between{rounds}"


def test_locale() -> None:
    task = {"exercise": "piano.major-scale", "minutes": 20}
    (british,) = steps(task, 10, instrument="piano")
    (american,) = steps(task, 10, instrument="piano", locale="en-US")
    assert "quaver" in british.how + british.how_much + british.what
    assert "eighth" in american.how + american.how_much + american.what
    assert british.units == american.units
