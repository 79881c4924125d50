"""What a forecast refuses, with the place of each fault."""

from typing import Any

import pytest
from bagatelle import Instruments, decode_forecast_request, decode_request, forecast
from bagatelle.engine.reading import read_request
from bagatelle.forecasting.checking import WORK_LIMIT, errors_of_work, work_of
from bagatelle.forecasting.simulation import played_days
from bagatelle.forecasting.stretch import days_of
from bagatelle.model.errors import InvalidInputError, NotShortError
from bagatelle.policy.table import Policy
from msgspec.json import encode

ROUTINE = {"blocks": [{"title": "Waltz", "minutes": 20}]}
BROKEN = {"blocks": [{"title": "Waltz", "tasks": [{"id": "waltz", "title": "Waltz"}]}]}


def sent(**more: Any) -> dict[str, Any]:
    return {"routine": ROUTINE, "date": "2027-03-01", "days": 7} | more


def pointers(body: dict[str, Any]) -> list[str]:
    with pytest.raises(InvalidInputError) as caught:
        forecast(decode_forecast_request(encode(body)), Instruments.none())
    assert all(error.accepted for error in caught.value.errors)
    return [error.pointer for error in caught.value.errors]


@pytest.mark.parametrize(
    ("more", "expected"),
    [
        ({"days": 0}, ["/days"]),
        ({"days": 367}, ["/days"]),
        ({"date": "9999-12-30"}, ["/days"]),
        ({"distribution": {"seed": 1, "kinds": []}}, ["/distribution/kinds"]),
        ({"distribution": {"seed": -1, "kinds": [{"weight": 1, "kind": "usual"}]}}, ["/distribution/seed"]),
        (
            {"distribution": {"seed": 1, "kinds": [{"weight": 0, "kind": "usual"}]}},
            ["/distribution/kinds/0/weight"],
        ),
        ({"known_days": [{"date": "2027-02-28", "kind": "usual"}]}, ["/known_days/0/date"]),
        ({"known_days": [{"date": "2027-03-08", "kind": "usual"}]}, ["/known_days/0/date"]),
        ({"known_days": [{"date": "2027-03-02", "kind": "usual"}] * 2}, ["/known_days/1/date"]),
        (
            {
                "known_days": [
                    {"date": "2027-03-02", "kind": "no-time", "circumstances": {"quiet": True}},
                    {
                        "date": "2027-03-03",
                        "kind": "short",
                        "circumstances": {"minutes": 5, "windows": [{"minutes": 5}]},
                    },
                ]
            },
            ["/known_days/0/circumstances", "/known_days/1/circumstances/minutes"],
        ),
        ({"variant": {}}, ["/variant"]),
        ({"instrument": "nose-comb", "variant": {"policy": {"share": 0.1}}}, ["/instrument"]),
        ({"variant": {"routine": BROKEN}}, ["/variant/routine/blocks/0/tasks/0/minutes"]),
        (
            {"routine": BROKEN, "variant": {"routine": BROKEN}},
            ["/routine/blocks/0/tasks/0/minutes", "/variant/routine/blocks/0/tasks/0/minutes"],
        ),
    ],
)
def test_a_wrong_field_is_named(more: dict[str, Any], expected: list[str]) -> None:
    assert pointers(sent(**more)) == expected


def test_no_date_lies_beyond_the_last() -> None:
    body = decode_forecast_request(encode(sent(date="9999-12-31", days=1)))
    assert forecast(body, Instruments.none()).forecast.with_plans.days_kept == 1


@pytest.mark.parametrize("more", [{"policy": {"share": 0.8}}, {"variant": {"policy": {"share": 0.8}}}])
def test_a_share_over_a_half_is_not_short(more: dict[str, Any]) -> None:
    with pytest.raises(NotShortError):
        forecast(decode_forecast_request(encode(sent(**more))), Instruments.none())


@pytest.mark.parametrize(
    ("windows", "days", "tasks", "refused"),
    [
        (0, 366, (54,), False),  # 366 * 54 = 19764
        (0, 366, (55,), True),  # 366 * 55 = 20130
        (1, 366, (54,), False),
        (0, 366, (27, 27), False),  # a variant counts as well
        (0, 366, (27, 28), True),
        (2, 100, (33,), False),  # 100 * 33 * 3 * 2 = 19800
        (2, 100, (34,), True),
        (24, 1, (200,), False),  # 200 * 3 * 24 = 14400
        (24, 2, (200,), True),
    ],
)
def test_what_may_be_planned_together(windows: int, days: int, tasks: tuple[int, ...], refused: bool) -> None:
    day = {
        "weight": 1,
        "kind": "short",
        "circumstances": {"windows": [{"minutes": 5}] * windows},
    }
    body = sent(days=days, distribution={"seed": 1, "kinds": [day]})
    stretch = days_of(decode_forecast_request(encode(body)))
    assert (sum(work_of(stretch, count) for count in tasks) > WORK_LIMIT) == refused


def test_usual_days_count_nothing() -> None:
    assert work_of(days_of(decode_forecast_request(encode(sent(days=366)))), 200) == 0


@pytest.mark.parametrize(("passages", "refused"), [(27, False), (28, True)])
def test_units_of_all_days_are_bounded(passages: int, refused: bool) -> None:
    # 366 * 100 * 27 = 988200 and 366 * 100 * 28 = 1024800 units in a year.
    lines = [{"id": f"p{number}", "label": "line", "seconds": 5} for number in range(passages)]
    tasks = [{"id": f"t{number}", "title": "Waltz", "minutes": 5, "passages": lines} for number in range(100)]
    routine = {"blocks": [{"title": "Pieces", "tasks": tasks}]}
    reading = read_request(
        decode_request(encode({"routine": routine})), Instruments.none(), Policy(), lambda message: message.id
    )
    stretch = days_of(decode_forecast_request(encode(sent(days=366))))
    assert [error.pointer for error in errors_of_work(stretch, [reading.tasks])] == ["/days"] * refused


def test_too_much_planning_is_refused_before_it_begins() -> None:
    tasks = [{"id": f"t{number}", "title": "Waltz", "minutes": 5} for number in range(60)]
    kinds = [{"weight": 1, "kind": "short"}]
    body = sent(
        routine={"blocks": [{"title": "Pieces", "tasks": tasks}]},
        days=366,
        distribution={"seed": 1, "kinds": kinds},
    )
    assert pointers(body) == ["/days"]


def test_the_searches_of_a_stretch_are_bounded_together() -> None:
    body = sent(days=3, distribution={"seed": 1, "kinds": [{"weight": 1, "kind": "short"}]})
    stretch = days_of(decode_forecast_request(encode(body)))
    request = decode_request(encode({"routine": ROUTINE, "date": "2027-03-01"}))
    days = played_days(request, (), stretch, Instruments.none())
    steps = [day.search_steps for day in days]
    assert min(steps) > 0
    assert played_days(request, (), stretch, Instruments.none(), step_limit=sum(steps)) == days
    with pytest.raises(InvalidInputError, match="on 2027-03-03") as caught:
        played_days(request, (), stretch, Instruments.none(), step_limit=sum(steps) - 1)
    assert [error.pointer for error in caught.value.errors] == ["/days"]
