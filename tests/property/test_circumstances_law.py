"""Soreness, low energy, thin walls, no instrument: nothing is planned that the day does not allow."""

from dataclasses import dataclass
from typing import Any

from bagatelle.model.plan import Plan
from bagatelle.model.vocabulary import STRAINS, Area
from hypothesis import event, example, given
from hypothesis import strategies as st

from tests.strategies import Sent, instruments, plan_or_reject, requests

QUIET = {"silent", "soft"}
PLACES = ("hands", "lip", "voice", "back")


def evening(*tasks: Sent) -> Sent:
    blocks = [{"title": "Evening", "tasks": [{"minutes": 20, **task} for task in tasks]}]
    return {"routine": {"blocks": blocks}, "circumstances": {}}


LISTENING = evening(
    {"title": "Listening", "strain": "none", "loudness": "silent", "needs_instrument": False},
    {"title": "Waltz", "id": "waltz"},
)
"""What any day allows as it is, beside what hardly any does."""
ALL_STRAINS = evening({"title": "Octaves", "strain": "high"}, {"title": "Thirds", "strain": "high"})


@dataclass(frozen=True)
class Traits:
    """What a task asks of body, walls and instrument."""

    strain: str
    loudness: str
    needs_instrument: bool


def usual_traits(task: Sent, area: Area) -> Traits:
    """Of a task as it is played on an ordinary day: what it says, else its exercise, else played and audible;
    a pencil is not loud."""
    exercise: Any = instruments().exercise(task["exercise"]) if "exercise" in task else None
    return Traits(
        strain=task.get("strain") or (exercise.strain if exercise else "low"),
        loudness=task.get("loudness")
        or (exercise.loudness if exercise else "soft" if area == "theory" else "moderate"),
        needs_instrument=task.get("needs_instrument", exercise.needs_instrument if exercise else True),
    )


def kept_as_usual(sent: Sent, plan: Plan) -> list[Traits]:
    """Traits of the steps that are played as on an ordinary day."""
    known = {task.task: task for task in plan.tasks}
    tasks = {
        task["id"]: task
        for block in sent["routine"]["blocks"]
        for task in block.get("tasks", ())
        if "id" in task
    }
    nameless = [
        task for block in sent["routine"]["blocks"] for task in block.get("tasks", ()) if "id" not in task
    ]
    found = []
    for step in plan.steps:
        if step.task is None or step.stands_in_for is not None:
            continue
        if step.task in tasks:
            found.append(usual_traits(tasks[step.task], known[step.task].area))
        else:
            # A task without an id is known by its title; more than one may have it.
            of_plan = known[step.task]
            same = [usual_traits(task, of_plan.area) for task in nameless if task["title"] == of_plan.title]
            found += same[:1] if len(same) == 1 else []
    return found


@given(requests())
@example(LISTENING)
def test_sore_nothing_strains_or_sounds(sent: Sent) -> None:
    plan = plan_or_reject(sent | {"circumstances": sent["circumstances"] | {"soreness": True}})
    assert any("sore" in caution and "physiotherapist" in caution for caution in plan.cautions)
    strain = {task.task: task.strain for task in plan.tasks}
    assert {strain[step.task] for step in plan.steps if step.task is not None} == {"none"}
    assert all(each == Traits("none", "silent", False) for each in kept_as_usual(sent, plan))


@given(requests(), st.sampled_from(PLACES))
def test_what_is_sore_rests(sent: Sent, place: str) -> None:
    day = sent["circumstances"] | {"sore": [place], "soreness": False}
    plan = plan_or_reject(sent | {"circumstances": day})
    said = (
        ("The voice is hoarse or sore.", "laryngologist")
        if place == "voice"
        else ("Sore: ", "physiotherapist")
    )
    assert any(caution.startswith(said[0]) and said[1] in caution for caution in plan.cautions)
    for each in kept_as_usual(sent, plan):
        rests = each == Traits("none", "silent", False)
        event("rests" if rests else f"works beside a sore {place}")
        # Own tasks and both catalogues are played with the hands; only what needs none is said, or silent.
        assert rests or place not in {"hands", "back"} or not (each.needs_instrument or each.strain != "none")
    for step in plan.steps:
        if any("in the head, as the day asks" in reason.because for reason in step.reasons):
            assert place != "voice" or "humming" not in step.how
            assert place != "hands" or not any(word in step.how for word in ("finger", "tap"))


@given(requests())
def test_a_place_beside_all_of_it_changes_nothing(sent: Sent) -> None:
    day = sent["circumstances"] | {"soreness": True}
    everywhere, named = (
        plan_or_reject(sent | {"circumstances": day | {"sore": places}}) for places in ([], ["lip"])
    )
    assert everywhere.steps == named.steps


@given(requests())
@example(LISTENING)
def test_quiet_nothing_is_loud(sent: Sent) -> None:
    plan = plan_or_reject(sent | {"circumstances": sent["circumstances"] | {"quiet": True}})
    assert all(each.loudness in QUIET for each in kept_as_usual(sent, plan))
    assert plan.sound is None
    assert not any("ear plugs" in caution.lower() for caution in plan.cautions)


@given(requests())
@example(LISTENING)
def test_without_the_instrument_nothing_needs_it(sent: Sent) -> None:
    plan = plan_or_reject(sent | {"circumstances": sent["circumstances"] | {"instrument_at_hand": False}})
    assert not any(each.needs_instrument for each in kept_as_usual(sent, plan))


@given(requests())
@example(ALL_STRAINS)
def test_low_energy_leaves_out_high_strain(sent: Sent) -> None:
    plan = plan_or_reject(sent | {"circumstances": sent["circumstances"] | {"energy": "low"}})
    kept = {step.task for step in plan.steps}
    strains = {task.task: task.strain for task in plan.tasks if not task.stand_in}
    if any(strains.get(task or "") == STRAINS[-1] for task in kept):
        free = {task.strain for task in plan.tasks if task.available and not task.stand_in}
        assert free == {"high"}
