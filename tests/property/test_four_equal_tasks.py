"""Four equal half-hours: the two that are exact and maintained are cut to a quarter of an hour, the rest waits.

120 usual minutes give 30; 20 give 5 (common practice, no source).
"""

import pytest
from bagatelle.model.plan import Plan

from tests.strategies import Sent, plan_of

EXACT: Sent = {
    "minutes": 30,
    "manner": "legato",
    "done_when": "two clean passes in a row",
    "passages": [
        {"id": "first", "label": "bars 1 to 8", "bars": 8, "bpm": 60, "passes": 1},
        {"id": "second", "label": "bars 9 to 16", "bars": 8, "bpm": 60, "passes": 1},
    ],
}
FOUR: list[Sent] = [
    EXACT | {"id": "scales", "title": "Scales", "area": "technique", "stage": "maintaining"},
    EXACT | {"id": "waltz", "title": "Waltz", "area": "repertoire", "stage": "maintaining"},
    EXACT
    | {
        "id": "reading",
        "title": "Reading",
        "area": "sight-reading",
        "stage": "refining",
        "concreteness": "guided",
    },
    {"id": "sonata", "title": "A new sonata", "area": "repertoire", "stage": "new", "minutes": 30},
]


def kept(plan: Plan) -> dict[str | None, int]:
    cost: dict[str | None, int] = {}
    for step in plan.steps:
        cost[step.task] = cost.get(step.task, 0) + step.seconds + step.set_up_seconds
    return cost


@pytest.mark.parametrize("instrument", [None, "piano"])
def test_two_are_kept_at_about_a_quarter_of_an_hour(instrument: str | None) -> None:
    plan = plan_of({"routine": {"blocks": [{"title": "Day", "tasks": FOUR}]}, "instrument": instrument})
    assert plan.budget_seconds == 30 * 60
    costs = kept(plan)
    assert set(costs) == {"scales", "waltz"}
    # A unit is eight bars of four at 60: 32 seconds. About a quarter of an hour is within two of them.
    assert all(abs(seconds - 15 * 60) <= 64 for seconds in costs.values())
    full_length = {
        dose.task: dose.seconds for each in plan.alternatives if len(each.doses) == 1 for dose in each.doses
    }
    assert full_length
    assert set(full_length) <= {"scales", "waltz"}
    assert all(30 * 60 - 64 <= seconds + 30 <= 30 * 60 for seconds in full_length.values())
    assert all(len(each.doses) < 4 for each in plan.alternatives)


@pytest.mark.parametrize(("usual_minutes", "budget_minutes"), [(120, 30), (20, 5)])
def test_a_quarter(usual_minutes: int, budget_minutes: int) -> None:
    plan = plan_of({"routine": {"blocks": [{"title": "Sonatina", "minutes": usual_minutes}]}})
    assert plan.budget_seconds == budget_minutes * 60
