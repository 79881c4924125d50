"""What is studied says which, how often and for how long as exactly as what is played."""

from bagatelle.model.plan import Plan, Step
from hypothesis import assume, event, example, given, settings
from hypothesis import strategies as st

from tests.property.test_mental_work_law import DAYS, STUDIED, studied_requests
from tests.strategies import Sent, plan_or_reject, requests

HARD_REQUESTS = st.builds(
    lambda sent, day: sent | {"circumstances": sent["circumstances"] | day}, requests(), st.sampled_from(DAYS)
)
MANNER = "with the breath of a gull"
FINISH_LINE = "three gulls in a row"


def silent_and_still(sent: Sent) -> tuple[bool, bool]:
    """Whether nothing may sound on this day, and whether no finger may move."""
    day = sent["circumstances"]
    sore = {"hands", "voice"} if day.get("soreness") else set(day.get("sore", ()))
    return bool(day.get("quiet")) or "voice" in sore, "hands" in sore


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
def test_no_page_asks_for_silence_and_for_a_sound(sent: Sent) -> None:
    silent, still = silent_and_still(sent)
    for step in study_steps(plan_or_reject(sent)):
        engine = step.how
        event("silent" if silent else "a hum is free")
        assert engine.startswith("without a sound") == silent
        assert any(word in engine for word in ("humming", "singing")) != silent
        assert not any(word in engine for word in ("tick", "hands", "instrument"))
        assert not still or not any(word in engine for word in ("finger", "tap", "knee"))


@given(studied_requests() | HARD_REQUESTS)
@settings(max_examples=100)
def test_the_words_of_the_engine_stand_alone(sent: Sent) -> None:
    """What the learner wrote speaks of playing, whatever it says: a page with both asks for two things at once."""
    for block in sent["routine"]["blocks"]:
        for task in block.get("tasks", ()):
            if "exercise" not in task:
                task |= {"manner": MANNER, "done_when": FINISH_LINE}
    for step in study_steps(plan_or_reject(sent)):
        assert MANNER not in step.how
        assert FINISH_LINE not in step.done_when
        # A number that is no limit goes with a finish line that nobody has to pass.
        assert "at most" not in step.how_much
        assert step.done_when.startswith("you have been through it")
        assert step.done_when.endswith("leave it for next time")


@given(st.lists(st.tuples(st.integers(40, 240), st.sampled_from((2, 3, 4))), min_size=1, max_size=4))
@settings(max_examples=50)
def test_no_beat_is_tapped_that_comes_too_fast_or_too_slowly(passages: list[tuple[int, int]]) -> None:
    named = [
        {"id": f"p{number}", "label": "page", "bars": 16, "bpm": bpm, "beats_per_bar": beats}
        for number, (bpm, beats) in enumerate(passages)
    ]
    task = {"id": "t", "title": "Piece", "area": "repertoire", "minutes": 40, "passages": named}
    sent: Sent = {
        "routine": {"blocks": [{"title": "Evening", "tasks": [task]}]},
        "circumstances": {"instrument_at_hand": False},
    }
    for step in study_steps(plan_or_reject(sent)):
        texts = {detail.unit: detail.text for detail in step.details}
        bars = {f"p{number}": bpm / beats for number, (bpm, beats) in enumerate(passages)}
        if all(bpm <= 120 for bpm, _ in passages):
            assert "the beat tapped on the knee" in step.how
        elif all(20 <= each <= 60 for each in bars.values()):
            assert "one tap on the knee a bar" in step.how
            assert all(text.endswith(f", {round(bars[unit])} bars a minute") for unit, text in texts.items())
        else:
            assert "at the tempo given for it" in step.how
            assert "tap" not in step.how.partition(":")[2]


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
