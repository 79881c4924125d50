"""What is studied says which, how often and for how long as exactly as what is played."""

from bagatelle.model.plan import Plan, Step
from hypothesis import assume, event, example, given, settings
from hypothesis import strategies as st

from tests.property.test_mental_work_law import DAYS, STUDIED, studied_requests
from tests.strategies import Sent, plan_or_reject, requests

HARD_REQUESTS = st.builds(
    lambda sent, day: sent | {"circumstances": sent["circumstances"] | day}, requests(), st.sampled_from(DAYS)
)

WITH_A_METRONOME: Sent = {
    "routine": {
        "blocks": [
            {
                "title": "Evening",
                "tasks": [
                    {
                        "id": "sonatina",
                        "title": "Sonatina",
                        "minutes": 20,
                        "area": "repertoire",
                        "manner": "slowly, with the metronome",
                        "done_when": "two clean passes in a row",
                    },
                ],
            }
        ]
    },
    "circumstances": {"instrument_at_hand": False},
}
"""The learner's own manner names what a day in the head does without."""


def study_steps(plan: Plan) -> list[Step]:
    return [step for step in plan.steps if STUDIED in {reason.because for reason in step.reasons}]


@given(studied_requests() | HARD_REQUESTS)
@settings(max_examples=150)
def test_every_studied_step_is_exact(sent: Sent) -> None:
    plan = plan_or_reject(sent)
    steps = study_steps(plan)
    assume(steps)
    numbers = {task.task: task for task in plan.tasks}
    labels = labels_of(sent)
    for step in steps:
        assert step.task is not None
        assert step.stands_in_for == step.task
        assert step.units
        for unit in set(step.units):
            label = labels.get((step.task, unit))
            event("a passage of the learner's own" if label else "a unit of a catalogue or a proposal")
            assert label is None or label in step.what
        assert step.what.partition(", in the head: ")[2]
        assert "minute" not in step.how_much
        assert "stop" not in step.how_much
        assert "through" in step.how_much
        seconds = {unit.id: unit.seconds for unit in numbers[step.task].units}
        assert step.seconds == sum(seconds[unit] for unit in step.units)


def labels_of(sent: Sent) -> dict[tuple[str, str], str]:
    """The label of each passage of the learner's own, by task and passage."""
    return {
        (task["id"], passage["id"]): passage["label"]
        for block in sent["routine"]["blocks"]
        for task in block.get("tasks", ())
        for passage in task.get("passages", ())
        if "id" in task
    }


@given(studied_requests() | HARD_REQUESTS)
@example(WITH_A_METRONOME)
@settings(max_examples=100)
def test_no_studied_step_asks_for_a_sound_or_a_hand(sent: Sent) -> None:
    for step in study_steps(plan_or_reject(sent)):
        how = without_own_manner(step.how, sent)
        assert how
        assert not any(word in how for word in ("metronome", "hands", "instrument"))


def without_own_manner(how: str, sent: Sent) -> str:
    """What the engine says of itself: the learner's own manner comes last, and may name anything."""
    manners = [
        task["manner"]
        for block in sent["routine"]["blocks"]
        for task in block.get("tasks", ())
        if "manner" in task
    ]
    return next((how.removesuffix(manner) for manner in manners if how.endswith(manner)), how)


@given(studied_requests() | HARD_REQUESTS)
@settings(max_examples=100)
def test_nothing_is_gone_through_more_often_than_it_is_played_or_twice(sent: Sent) -> None:
    plan = plan_or_reject(sent)
    passes = {
        (task["id"], passage["id"]): passage.get("passes", 1)
        for block in sent["routine"]["blocks"]
        for task in block.get("tasks", ())
        for passage in task.get("passages", ())
        if "id" in task
    }
    numbers = {task.task: task for task in plan.tasks}
    for task in {step.task for step in study_steps(plan) if step.task is not None}:
        once = {unit.id: unit.seconds for unit in numbers[task].units}
        assume(all((task, unit) in passes for unit in once))
        seconds = sum(step.seconds for step in study_steps(plan) if step.task == task)
        assert seconds <= sum(once[unit] * max(passes[task, unit], 2) for unit in once)
