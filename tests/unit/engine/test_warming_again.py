"""What strains in a later window is warmed up for again there, where that is short and costs little."""

import json
from typing import Any

from bagatelle import compress, decode_request
from bagatelle.model.plan import Plan

from tests.strategies import instruments


def planned(*, warm_up_units: list[int], windows: list[int], strain: str = "moderate") -> Plan:
    etude = {
        "id": "etude",
        "title": "Etude",
        "area": "technique",
        "stage": "maintaining",
        "strain": strain,
        "minutes": 40,
        "manner": "evenly",
        "done_when": "clean",
        "passages": [
            {"id": f"line-{number}", "label": f"line {number}", "seconds": 60} for number in range(40)
        ],
    }
    warm_up = etude | {
        "id": "warm-up",
        "title": "Slow and loose",
        "area": "warm-up",
        "strain": "low",
        "minutes": sum(warm_up_units) / 60,
        "smallest_chunk_seconds": min(warm_up_units),
        "passages": [
            {"id": f"round-{number}", "label": f"round {number}", "seconds": seconds}
            for number, seconds in enumerate(warm_up_units)
        ],
    }
    request: dict[str, Any] = {
        "routine": {"blocks": [{"id": "day", "title": "Day", "tasks": [warm_up, etude]}]},
        "circumstances": {"windows": [{"minutes": minutes} for minutes in windows]},
    }
    return compress(decode_request(json.dumps(request).encode()), instruments()).plan


def tasks_by_window(plan: Plan) -> list[list[str | None]]:
    return [
        [step.task for step in plan.steps if step.window == window] for window in range(len(plan.windows))
    ]


def cautions(plan: Plan) -> str:
    return " ".join(caution for step in plan.steps for caution in step.cautions)


def test_each_window_begins_with_what_prepares() -> None:
    plan = planned(warm_up_units=[60, 60], windows=[10, 10])
    assert tasks_by_window(plan) == [["warm-up", "etude"], ["warm-up", "etude"]]
    assert "cold" not in cautions(plan)


def test_what_does_not_strain_needs_no_second_warm_up() -> None:
    plan = planned(warm_up_units=[60, 60], windows=[10, 10], strain="low")
    assert sum(step.task == "warm-up" for step in plan.steps) <= 1


def test_hours_later_a_piece_that_does_not_strain_is_begun_slowly_too() -> None:
    plan = planned(warm_up_units=[60, 60], windows=[10, 10], strain="low")
    opening = {step.window: step for step in reversed(plan.steps)}
    assert opening[1].task == "etude"
    assert [caution for caution in opening[1].cautions if "come to this one cold" in caution]
    assert "cold" not in " ".join(opening[0].cautions)


def test_a_warm_up_that_cannot_be_short_is_not_gone_through_twice() -> None:
    plan = planned(warm_up_units=[150, 150], windows=[10, 10])
    assert tasks_by_window(plan)[1] == ["etude"]
    assert "You come to this one cold" in cautions(plan)
