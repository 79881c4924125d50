"""The ladder: plans prepared wherever a walk would fall far behind, and rungs that only lift.

The numbers of each plan are read from the answer alone; worths are computed anew, by the formula of the design.
"""

import math
from itertools import pairwise

from bagatelle.engine.candidates import Curve
from bagatelle.engine.ladder import grown_worth
from bagatelle.engine.problem import Item
from bagatelle.model.plan import Plan, TaskNumbers
from hypothesis import event, given, settings
from hypothesis import strategies as st

from tests.strategies import Sent, plan_or_reject, requests


def worth_of(task: TaskNumbers, seconds: int, curve: float) -> int:
    ratio = min(seconds / task.usual_seconds, 1.0)
    return round(
        1000 * task.weight * task.usual_seconds * (1 - math.exp(-curve * ratio)) / (1 - math.exp(-curve))
    )


def grown(plan: Plan, place: int, capacity: int) -> int:
    """Worth of a prepared plan whose tasks have grown, each time by the unit that is worth most for its seconds."""
    tasks = {task.task: task for task in plan.tasks}
    seconds = {dose.task: dose.seconds for dose in plan.ladder.prepared[place].doses}
    units = {name: [unit.seconds for unit in tasks[name].units] for name in seconds}
    taken = {name: _units_in(units[name], seconds[name]) for name in seconds}
    left = capacity - sum(tasks[name].set_up_seconds + played for name, played in seconds.items())
    while True:
        steps = []
        for name, played in seconds.items():
            more = units[name][taken[name] % len(units[name])]
            if played + more <= tasks[name].largest_seconds and more <= left:
                gain = worth_of(tasks[name], played + more, plan.policy.curve) - worth_of(
                    tasks[name], played, plan.policy.curve
                )
                steps.append((gain / more, name, more))
        if not steps or max(steps)[0] <= 0:
            return sum(worth_of(tasks[name], played, plan.policy.curve) for name, played in seconds.items())
        _, name, more = max(steps)
        seconds[name] += more
        taken[name] += 1
        left -= more


def _units_in(units: list[int], seconds: int) -> int:
    count = 0
    while seconds > 0:
        seconds -= units[count % len(units)]
        count += 1
    return count


@given(requests())
@settings(max_examples=60)
def test_between_two_prepared_plans_a_walk_does_not_fall_far_behind(sent: Sent) -> None:
    plan = plan_or_reject(sent)
    prepared = plan.ladder.prepared
    for place, (low, high) in enumerate(pairwise(prepared)):
        assert low.budget_seconds < high.budget_seconds
        if high.budget_seconds - low.budget_seconds > 120 and high.budget_seconds <= 1800:
            # Ties between units of like density may go either way, so a hundredth is left to them.
            least = grown(plan, place, high.budget_seconds - 60)
            assert high.worth <= 1.2 * 1.01 * least + 10
            event("looked at")


@given(requests())
@settings(max_examples=60)
def test_rungs_only_lift_and_the_stand_in_has_none(sent: Sent) -> None:
    plan = plan_or_reject(sent)
    most = {task.task: task.largest_seconds for task in plan.tasks if task.available and not task.stand_in}
    reached: dict[str, int] = {}
    for rung in plan.ladder.rungs:
        assert rung.task in most
        assert reached.get(rung.task, 0) < rung.to_seconds <= most[rung.task]
        reached[rung.task] = rung.to_seconds


@given(
    st.lists(st.integers(10, 90), min_size=1, max_size=3),
    st.lists(st.integers(1, 4), min_size=1, max_size=3),
    st.integers(100, 2000),
)
def test_growing_never_loses_and_never_overruns(
    unit_lengths: list[int], doses: list[int], capacity: int
) -> None:
    count = min(len(unit_lengths), len(doses))
    curves = [
        Curve(
            Item(
                id=str(number),
                weight=0.3 + 0.1 * number,
                usual_seconds=20 * unit_lengths[number],
                largest_seconds=20 * unit_lengths[number],
                unit_seconds=(unit_lengths[number],),
                chunk_seconds=unit_lengths[number],
                set_up_seconds=10,
            ),
            2.0,
        )
        for number in range(count)
    ]
    units = doses[:count]
    before = sum(curve.worths[taken] for curve, taken in zip(curves, units, strict=True))
    cost = sum(10 + curve.ends[taken] for curve, taken in zip(curves, units, strict=True))
    worth = grown_worth(curves, units, max(capacity, cost), math.inf)
    assert worth >= before
    assert sum(10 + curve.ends[taken] for curve, taken in zip(curves, units, strict=True)) <= max(
        capacity, cost
    )
    assert worth == sum(curve.worths[taken] for curve, taken in zip(curves, units, strict=True))
