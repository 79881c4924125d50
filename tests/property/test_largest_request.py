"""The largest legal request is answered within a bounded number of steps, and the answer holds what it says."""

import json
from typing import Any

import pytest
from bagatelle import compress, decode_request
from bagatelle.engine.search import STEP_LIMIT
from bagatelle.model.request import BLOCKS_LIMIT, TASKS_LIMIT, WINDOWS_LIMIT

from tests.largest import BODY_BYTES, largest_request, like_tasks_request
from tests.strategies import instruments


def test_it_is_as_large_as_can_be() -> None:
    request: dict[str, Any] = largest_request()
    blocks = request["routine"]["blocks"]
    assert len(blocks) == BLOCKS_LIMIT == 40
    assert sum(len(block["tasks"]) for block in blocks) == TASKS_LIMIT == 200
    assert len(request["circumstances"]["windows"]) == WINDOWS_LIMIT == 24
    assert {block["minutes"] for block in blocks} == {600}
    assert sum(task["minutes"] for block in blocks for task in block["tasks"]) == 40 * 600
    assert BODY_BYTES * 0.6 < len(json.dumps(request)) <= BODY_BYTES * 1.1


@pytest.mark.parametrize("windows", [True, False])
def test_it_is_answered_in_bounded_steps(windows: bool) -> None:
    body = json.dumps(largest_request(windows=windows), separators=(",", ":")).encode()
    plan = compress(decode_request(body), instruments()).plan
    assert 0 < plan.certificate.search_steps <= STEP_LIMIT + 1000
    assert plan.certificate.worth <= plan.certificate.bound
    for position, window in enumerate(plan.windows):
        inside = [step for step in plan.steps if step.window == position]
        assert sum(step.seconds + step.set_up_seconds for step in inside) <= window.seconds


@pytest.mark.slow
@pytest.mark.parametrize("windows", [12, 24])
@pytest.mark.parametrize("unit_seconds", [15, 60, 61])
@pytest.mark.parametrize("alike", [True, False])
@pytest.mark.parametrize("straining", [True, False])
def test_tasks_that_hardly_differ_end_in_bounded_steps_too(
    windows: int, unit_seconds: int, alike: bool, straining: bool
) -> None:
    # Second thoughts end at 40,000 steps; the last that began may take a bound and one search more.
    request = like_tasks_request(windows, unit_seconds, alike=alike, straining=straining)
    plan = compress(decode_request(json.dumps(request, separators=(",", ":")).encode()), instruments()).plan
    assert 0 < plan.certificate.search_steps <= 90_000
    assert all(other.worth <= plan.certificate.worth for other in plan.alternatives)
