"""Edges that were wrong once: inexact shares, half a minute, pins that the day shuts out, very many tasks."""

import json
from typing import Any

from bagatelle import compress, decode_request
from bagatelle.model.plan import Plan

from tests.largest import largest_request
from tests.strategies import instruments


def plan_of(request: dict[str, Any]) -> Plan:
    return compress(decode_request(json.dumps(request).encode()), instruments()).plan


def task(title: str, **more: object) -> dict[str, object]:
    page = {"id": "p", "label": "page", "seconds": 60, "passes": 1}
    settled = {"area": "repertoire", "manner": "legato", "done_when": "clean", "passages": [page]}
    return {"id": title, "title": title, "minutes": 30, **settled, **more}


def routine(*tasks: dict[str, object]) -> dict[str, Any]:
    return {"blocks": [{"title": "Evening", "tasks": list(tasks)}]}


def test_a_share_that_binary_cannot_hold_loses_no_second() -> None:
    # 11 minutes are 660 s; 660 * 0.35 = 231.
    plan = plan_of({"routine": routine(task("a", minutes=11)), "policy": {"share": 0.35}})
    assert plan.budget_seconds == 231


def test_half_a_minute_stays_half_a_minute() -> None:
    blocks = [{"title": "Bow", "minutes": 0.5}, {"title": "Etude", "minutes": 20}]
    assert plan_of({"routine": {"blocks": blocks}}).usual_seconds == 30 + 20 * 60


def test_an_always_that_low_energy_shuts_out_is_a_finding() -> None:
    plan = plan_of(
        {
            "routine": routine(task("a", strain="high", pin="always"), task("b")),
            "circumstances": {"energy": "low"},
        }
    )
    assert {step.task for step in plan.steps} == {"b"}
    assert [finding.task for finding in plan.findings if finding.question == "pin"] == ["a"]


def test_of_very_many_tasks_the_plan_is_near_its_bound() -> None:
    certificate = plan_of(largest_request(windows=False)).certificate
    assert certificate.gap < 0.01
