"""Forecasts over HTTP."""

from typing import Any

import pytest
from bagatelle_service.api.operation import example_bytes
from bagatelle_service.api.v1.forecasts import WEEK
from bagatelle_service.settings import Settings

from tests.integration.api_client import ApiClient, api_client
from tests.integration.problem_checks import problem_in

FORECASTS = "/v1/forecasts"
ROUTINE = {"blocks": [{"title": "Lullaby", "minutes": 20}]}
BODY = {"routine": ROUTINE, "date": "2027-03-01", "days": 7}
JSON = {"Content-Type": "application/json"}


@pytest.mark.parametrize("name", [WEEK, "forecast-request-year"])
def test_the_examples_are_answered_the_same_each_time(api: ApiClient, name: str) -> None:
    answers = [api.post(FORECASTS, content=example_bytes(name), headers=JSON) for _ in range(2)]
    assert [answer.status_code for answer in answers] == [200, 200]
    assert answers[0].content == answers[1].content
    assert answers[0].headers["cache-control"] == "no-store"
    made = answers[0].json()["forecast"]
    assert made["with_plans"]["days_kept"] > made["without_plans"]["days_kept"]


def test_a_day_without_circumstances_is_a_quarter_of_the_usual_time(api: ApiClient) -> None:
    known = [{"date": "2027-03-03", "kind": "short"}]
    made = api.post(FORECASTS, json=BODY | {"known_days": known}).json()["forecast"]
    assert [day["seconds"] for day in made["stretch"]] == [1200, 1200, 270, 1200, 1200, 1200, 1200]
    assert made["variant"] is None
    assert made["drawn"] == []


@pytest.mark.parametrize(
    ("more", "pointer"),
    [
        ({"days": 367}, "/days"),
        ({"known_days": [{"date": "2027-03-08", "kind": "usual"}]}, "/known_days/0/date"),
        ({"seed": 1}, "/seed"),
        (
            {"distribution": {"seed": 1, "kinds": [{"weight": 0.5, "kind": "usual"}]}},
            "/distribution/kinds/0/weight",
        ),
        ({"variant": {"routine": {"blocks": []}}}, "/variant/routine/blocks"),
    ],
)
def test_a_wrong_field_is_named(api: ApiClient, more: dict[str, Any], pointer: str) -> None:
    problem = problem_in(api.post(FORECASTS, json=BODY | more), "invalid-input")
    assert [error["pointer"] for error in problem["errors"]] == [pointer]


def test_a_share_over_a_half_is_not_short(api: ApiClient) -> None:
    problem_in(api.post(FORECASTS, json=BODY | {"variant": {"policy": {"share": 0.8}}}), "not-short")


def test_too_much_to_plan_is_refused(api: ApiClient) -> None:
    tasks = [{"title": "Lullaby", "minutes": 5}] * 100
    kinds = [{"weight": 1, "kind": "short"}]
    body = BODY | {
        "routine": {"blocks": [{"title": "Pieces", "tasks": tasks}]},
        "days": 366,
        "distribution": {"seed": 1, "kinds": kinds},
    }
    problem = problem_in(api.post(FORECASTS, json=body), "invalid-input")
    assert "count 36600 together" in problem["errors"][0]["message"]


def test_a_forecast_that_outlasts_the_clock_is_out_of_time() -> None:
    with api_client(Settings(open=True, database_url="sqlite://", clock_seconds=0.001)) as api:
        problem_in(
            api.post(FORECASTS, content=example_bytes("forecast-request-year"), headers=JSON), "out-of-time"
        )
