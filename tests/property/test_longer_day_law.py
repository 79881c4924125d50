"""A day longer than half of the usual time is planned to the half, said to be no short day, and goes on up the
ladder.
"""

from hypothesis import example, given
from hypothesis import strategies as st

from tests.strategies import Sent, plan_or_reject, requests

SHORT_ON_SET_UPS: Sent = {
    "instrument": "piano",
    "routine": {
        "blocks": [
            {
                "title": "Evening",
                "tasks": [
                    {"exercise": "piano.arpeggio", "minutes": 5, "smallest_chunk_seconds": 180},
                    {
                        "title": "Sonatina",
                        "minutes": 2,
                        "passages": [{"id": "a", "label": "line", "seconds": 144, "passes": 1}],
                        "stage": "new",
                    },
                ],
            }
        ]
    },
    "circumstances": {"energy": "low", "focus": "low"},
    "measure_ladder": True,
}
"""Its seven minutes do not hold all of it with the set-ups, and a walk of them is worth less than one of six."""


@given(requests(most_windows=0), st.integers(1, 600))
def test_it_is_planned_to_the_half_and_said(sent: Sent, more: int) -> None:
    sent = sent | {"history": []}  # after a long time away the first days are small
    at_half = plan_or_reject(sent | {"circumstances": {"minutes": 600}, "policy": {}})
    half = max(at_half.usual_seconds // 2, min(180, at_half.usual_seconds))
    minutes = min((half + more) / 60, 600)
    longer = plan_or_reject(sent | {"circumstances": {"minutes": minutes}, "policy": {}})
    assert longer.budget_seconds == at_half.budget_seconds == half
    assert longer.steps == at_half.steps
    assert "no-short-day" in {warning.code for warning in longer.warnings}


@given(requests(most_windows=0, measured=True))
def test_the_ladder_goes_on_to_the_whole_routine(sent: Sent) -> None:
    plan = plan_or_reject(sent)
    highest: dict[str, int] = {}
    for rung in plan.ladder.rungs:
        assert rung.to_seconds > highest.get(rung.task, 0)
        highest[rung.task] = rung.to_seconds
    whole = {task.task: task.largest_seconds for task in plan.tasks if task.available and not task.stand_in}
    assert {task: highest[task] for task in whole} == whole


@given(requests(most_windows=0, measured=True))
@example(SHORT_ON_SET_UPS)
def test_a_walk_is_worth_at_least_the_plan_that_it_starts_from(sent: Sent) -> None:
    plan = plan_or_reject(sent)
    for minute in plan.ladder.minutes:
        starts = [each for each in plan.ladder.prepared if each.budget_seconds <= 60 * minute.minutes]
        assert not starts or minute.worth >= starts[-1].worth
