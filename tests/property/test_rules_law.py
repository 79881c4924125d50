"""The three rules: prepared before strain, music from ten minutes up, not too many tasks; or it is said.

That a rule gives way only where it can't be met is a law of its own (`test_giving_way_law`).
"""

import math
from fractions import Fraction
from itertools import accumulate, cycle, islice

from bagatelle.model.plan import Plan, RuleReport, TaskNumbers
from hypothesis import event, example, given

from tests.strategies import Sent, beside_slack, plan_or_reject, requests

STRAINING = {"moderate", "high"}
TEN_MINUTES = 600  # common practice, no source
FIVE_MINUTES = 300  # common practice, no source
SIX_MINUTES = 360  # common practice, no source

DESK_WORK: Sent = {
    "routine": {
        "blocks": [
            {
                "title": "Evening",
                "tasks": [
                    {"title": "Slow bows", "area": "warm-up", "strain": "low", "minutes": 20},
                    {"title": "Sonatina", "area": "repertoire", "strain": "moderate", "minutes": 20},
                    {
                        "title": "Form",
                        "area": "theory",
                        "strain": "none",
                        "loudness": "silent",
                        "needs_instrument": False,
                        "minutes": 20,
                        "pin": "always",
                    },
                ],
            }
        ]
    },
    "circumstances": {"minutes": 28},
}
"""It strains nothing, and comes last all the same."""


def report(plan: Plan, rule: str) -> RuleReport:
    return next(each for each in plan.rules if each.rule == rule)


@given(requests())
def test_something_easy_comes_before_the_first_strain(sent: Sent) -> None:
    plan = plan_or_reject(sent)
    tasks = {task.task: task for task in plan.tasks}
    order = [tasks[step.task] for step in plan.steps if step.task is not None]
    first_strain = next((place for place, task in enumerate(order) if task.strain in STRAINING), None)
    if first_strain is None:
        assert report(plan, "warm-up-before-strain").kept
        return
    event("strains")
    prepared = any(task.prepares for task in order[:first_strain])
    assert report(plan, "warm-up-before-strain").kept == prepared
    if not prepared:
        assert any("begin slowly and softly" in caution for caution in plan.cautions)


def place(task: TaskNumbers) -> int:
    """A warm-down comes after what strains, and after both what is done at rest; common practice, no source."""
    closes = task.area == "warm-down"
    if task.at_rest and task.area != "warm-up":
        return 4 + closes
    return 3 if closes else {"none": 0, "low": 0, "moderate": 1, "high": 2}[task.strain]


@given(requests())
@example(DESK_WORK)
def test_strain_rises_within_a_window(sent: Sent) -> None:
    plan = plan_or_reject(sent)
    tasks = {task.task: task for task in plan.tasks}
    for position in range(len(plan.windows)):
        places = [
            place(tasks[step.task])
            for step in plan.steps
            if step.window == position and step.task is not None
        ]
        assert places == sorted(places)


@given(requests())
def test_there_is_music_from_ten_minutes_up(sent: Sent) -> None:
    plan = plan_or_reject(sent)
    pieces = [task for task in plan.tasks if task.available and task.area in {"repertoire", "improvisation"}]
    due = {
        task.task
        for task in pieces
        if task.due_days is not None and 0 <= task.due_days <= plan.policy.near_days
    }
    # Where some are due soon, no other stands for the day's music.
    in_hand = due or {task.task for task in pieces if task.stage in {"refining", "maintaining"}}
    assert in_hand == {task.task for task in plan.tasks if task.music and task.available}
    kept = {step.task for step in plan.steps}
    if plan.budget_seconds >= TEN_MINUTES and in_hand:
        event("music is asked for")
        assert report(plan, "music-in-hand").kept == bool(kept & in_hand)
    else:
        assert report(plan, "music-in-hand").kept


@given(requests())
def test_there_are_not_too_many_tasks(sent: Sent) -> None:
    plan = plan_or_reject(sent)
    rule = report(plan, "task-count")
    kept = {step.task for step in plan.steps if step.task is not None}
    # One that prepares comes on top.
    on_top = any(task.prepares for task in plan.tasks if task.task in kept)
    each = SIX_MINUTES if len(plan.windows) == 1 else FIVE_MINUTES
    usual_limit = max(2, plan.budget_seconds // each, _as_on_the_usual_day(plan))
    assert isinstance(rule.limit, int)
    assert len(kept) - on_top <= rule.limit
    assert rule.limit >= usual_limit
    assert rule.kept == (rule.limit == usual_limit)
    assert all(each.because.strip() for each in plan.rules)


def _as_on_the_usual_day(plan: Plan) -> int:
    """How many things the usual day has in as long a time as the day plays; what prepares is no thing."""
    playing = playing_seconds(beside_slack(plan, plan.budget_seconds))
    whole = [
        task.set_up_seconds + _longest_dose(task)
        for task in plan.tasks
        if task.available and not task.prepares and not task.stand_in
    ]
    return min(math.floor(Fraction(playing * len(whole), sum(whole))), len(whole)) if whole else 0


def _longest_dose(task: TaskNumbers) -> int:
    """The most of its units in a row that its usual time holds; at least one."""
    ends = list(accumulate(unit.seconds for unit in islice(cycle(task.units), 5000)))
    return max((end for end in ends if end <= task.usual_seconds), default=ends[0])


def playing_seconds(budget_seconds: int) -> int:
    """Up to half an hour all of it; then 5 minutes of rest for each 25 of playing."""
    if budget_seconds <= 1800:
        return budget_seconds
    stretches, left = divmod(budget_seconds, 1800)
    return max(stretches * 1500 + min(left, 1500), 1800)
