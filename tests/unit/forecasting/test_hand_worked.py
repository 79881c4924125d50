"""Short stretches worked out by hand: one piece of three lines, each of 100 seconds, 10 usual minutes."""

from typing import Any

from bagatelle import Instruments, decode_forecast_request, forecast
from bagatelle.model.forecast import Forecast, Outcome
from msgspec.json import encode

LINES = [{"id": name, "label": f"line {name}", "seconds": 100, "passes": 1} for name in "abc"]
PIECE = {
    "id": "waltz",
    "title": "Waltz",
    "area": "repertoire",
    "minutes": 10,
    "set_up_seconds": 0,
    "smallest_chunk_seconds": 100,
    "manner": "slowly",
    "done_when": "once clean",
    "passages": LINES,
}
FOUR_MINUTES = {"kind": "short", "circumstances": {"minutes": 4}}


def forecast_of(*kinds: dict[str, Any], **more: Any) -> Forecast:
    known = [{"date": f"2027-03-{number:02}", **kind} for number, kind in enumerate(kinds, start=1)]
    sent = {
        "routine": {"blocks": [{"title": "Pieces", "tasks": [PIECE]}]},
        "date": "2027-03-01",
        "days": len(kinds),
        "known_days": known,
    } | more
    return forecast(decode_forecast_request(encode(sent)), Instruments.none()).forecast


def numbers(outcome: Outcome) -> tuple[int, int, int, int, int]:
    (task,) = outcome.tasks
    return task.seconds, task.days, task.longest_gap_days, task.units_covered, task.units


def test_short_days_go_on_where_the_last_stopped() -> None:
    # Four minutes, half of one free, hold two lines: a, b; then c, a. Without plans, neither day is played.
    made = forecast_of(FOUR_MINUTES, FOUR_MINUTES)
    assert numbers(made.with_plans) == (400, 2, 0, 3, 3)
    assert numbers(made.without_plans) == (0, 0, 2, 0, 3)
    assert (made.with_plans.days_kept, made.without_plans.days_kept) == (2, 0)
    assert (made.with_plans.short_days_without_playing, made.without_plans.short_days_without_playing) == (
        0,
        2,
    )


def test_a_single_short_day_covers_two_lines_of_three() -> None:
    made = forecast_of(FOUR_MINUTES)
    assert numbers(made.with_plans) == (200, 1, 0, 2, 3)


def test_history_says_where_to_begin() -> None:
    # a and b were done, so c is first and a second, as the older of the two.
    history = [
        {"task": "waltz", "date": "2027-02-20", "units": ["a"]},
        {"task": "waltz", "date": "2027-02-21", "units": ["b"]},
    ]
    lines = [*LINES[:2], LINES[2] | {"seconds": 110}]
    routine = {"blocks": [{"title": "Pieces", "tasks": [PIECE | {"passages": lines}]}]}
    assert numbers(forecast_of(FOUR_MINUTES, routine=routine).with_plans) == (100 + 100, 1, 0, 2, 3)
    made = forecast_of(FOUR_MINUTES, routine=routine, history=history)
    assert numbers(made.with_plans) == (110 + 100, 1, 0, 2, 3)


def test_gaps_are_counted_within_the_stretch() -> None:
    nothing, usual = {"kind": "no-time"}, {"kind": "usual"}
    made = forecast_of(nothing, usual, FOUR_MINUTES, nothing, nothing, nothing, usual, FOUR_MINUTES)
    assert (made.usual_days, made.short_days, made.no_time_days) == (2, 2, 4)
    assert numbers(made.with_plans) == (2 * 600 + 2 * 200, 4, 3, 3, 3)
    assert numbers(made.without_plans) == (2 * 600, 2, 4, 3, 3)
    assert (made.with_plans.longest_gap_days, made.without_plans.longest_gap_days) == (3, 4)
    assert [day.seconds for day in made.stretch] == [0, 600, 200, 0, 0, 0, 600, 200]


def test_days_that_are_not_known_are_usual() -> None:
    made = forecast_of(days=366)
    assert (made.usual_days, made.with_plans.days_kept, made.with_plans.longest_gap_days) == (366, 366, 0)
    assert made.with_plans.seconds == 366 * 600


def test_a_short_day_that_holds_nothing_is_said() -> None:
    # A line takes 100 seconds, and the day gives 30.
    made = forecast_of({"kind": "short", "circumstances": {"minutes": 0.5}}, FOUR_MINUTES)
    assert (made.with_plans.days_kept, made.with_plans.short_days_without_playing) == (1, 1)
    assert [notice.code for notice in made.warnings] == ["short-days-without-playing"]


def test_history_of_the_stretch_itself_is_left_aside() -> None:
    late = [{"task": "waltz", "date": "2027-03-01", "units": ["a"]}]
    made = forecast_of(FOUR_MINUTES, history=late)
    assert [notice.code for notice in made.warnings] == ["history-not-before-the-stretch"]
    assert made.with_plans == forecast_of(FOUR_MINUTES).with_plans


def test_a_usual_day_without_short_ones_turns_by_itself() -> None:
    # 250 of the usual seconds hold two lines. Played: a, b | c | a, b; without the short day a, b | c, a.
    piece = PIECE | {"minutes": 250 / 60}
    routine = {"blocks": [{"title": "Pieces", "tasks": [piece]}]}
    short = {"kind": "short", "circumstances": {"minutes": 2.5}}
    made = forecast_of({"kind": "usual"}, short, {"kind": "usual"}, routine=routine)
    assert numbers(made.with_plans) == (2 * 250 + 100, 3, 0, 3, 3)
    two = forecast_of({"kind": "usual"}, routine=routine)
    assert numbers(two.with_plans) == (250, 1, 0, 2, 3)
    assert numbers(made.without_plans) == (2 * 250, 2, 1, 3, 3)


def test_a_usual_day_plays_a_unit_that_is_longer_than_its_time() -> None:
    # A minute does not hold a line of 100 seconds; the next line comes on the next day all the same.
    routine = {"blocks": [{"title": "Pieces", "tasks": [PIECE | {"minutes": 1}]}]}
    made = forecast_of({"kind": "usual"}, {"kind": "usual"}, routine=routine)
    assert numbers(made.with_plans) == (2 * 60, 2, 0, 2, 3)


def test_it_says_that_it_is_a_forecast_from_assumptions() -> None:
    made = forecast_of(FOUR_MINUTES)
    assert made.assumptions[0].startswith("This is a forecast from the assumptions below, and no record")
    assert any("common practice, no source" in sentence for sentence in made.assumptions)
    assert made.assumptions[-1].endswith("are for a clinician.")


def test_what_a_variant_changes_and_nothing_else() -> None:
    other = {"blocks": [{"title": "Pieces", "tasks": [PIECE, PIECE | {"id": "march", "title": "March"}]}]}
    made = forecast_of({"kind": "usual"}, {"kind": "no-time"}, variant={"routine": other})
    assert made.variant is not None
    (march,) = made.variant.differences.tasks
    assert march.task == "march"
    assert encode(march.seconds) == b'{"base":null,"variant":600}'
    (area,) = made.variant.differences.areas
    assert encode(area) == (
        b'{"area":"repertoire","seconds":{"base":600,"variant":1200},'
        b'"units_covered":{"base":3,"variant":6},"units":{"base":3,"variant":6}}'
    )
