"""Catalogue exercises that a title in a learner's own words may mean: offered, never taken silently.

They are looked for among the exercises of the request's instrument alone, and only where a task says nothing of
which material it is. A finding of the question `exercise` therefore always stands beside one of `which`: it opens
nothing by itself, and goes when the four questions are answered.
"""

from collections.abc import Iterable
from typing import Any

from bagatelle.catalogue.instruments import Instruments
from bagatelle.catalogue.pitch_range import EVERY_PITCH, PitchRange, range_of_learner
from bagatelle.engine.catalogue_task import exercise_with
from bagatelle.engine.form import too_wide
from bagatelle.engine.placing import PlacedTask
from bagatelle.engine.title_settings import settings_said
from bagatelle.model.errors import InvalidInputError, PluginError
from bagatelle.model.exercise import Exercise
from bagatelle.model.plan import Finding, LikelyExercise, PatchOperation
from bagatelle.model.request import CompressionRequest
from bagatelle.model.text import Message
from bagatelle.policy.table import Policy
from bagatelle.wording.render import Say


def exercise_findings(
    task_id: str,
    placed: PlacedTask,
    request: CompressionRequest,
    instruments: Instruments,
    policy: Policy,
    say: Say,
) -> tuple[Finding, ...]:
    """One finding with the likeliest exercises, or none where nothing is like the title."""
    likely = tuple(_likely(placed, request, instruments, policy, say))
    if not likely:
        return ()
    titles = tuple(one.title for one in likely)
    text = Message("engine.finding.exercise", {"title": placed.title, "exercises": titles})
    return (
        Finding(
            task=task_id,
            question="exercise",
            pointer=f"{placed.pointer}/{'tasks' if placed.alone else 'exercise'}",
            message=say(text),
            proposal=(),
            likely=likely,
        ),
    )


def _likely(
    placed: PlacedTask, request: CompressionRequest, instruments: Instruments, policy: Policy, say: Say
) -> Iterable[LikelyExercise]:
    if request.instrument is None or placed.task.passages:
        return
    title = placed.title
    index = instruments.title_index(request.instrument, request.locale)
    found = [
        one for one in index.likely(title, policy.least_likeness) if _may_be(one.exercise, placed, request)
    ]
    learner = range_of_learner(request.learner.limits)
    for one in found[: policy.likely_exercises]:
        name = one.exercise.id
        said = settings_said(one.exercise, title, index.named_values(name, title))
        try:
            # A title may name things that no exercise has at once; then its defaults are proposed.
            fitting = next((each for each in (said, {}) if _can_be(name, each, instruments, learner)), None)
        except PluginError:
            # What its plugin could not plan today is no offer.
            continue
        if fitting is None:
            continue
        yield LikelyExercise(
            exercise=name,
            title=say(Message(f"{name}.title")),
            likeness=one.likeness,
            proposal=tuple(_operations(placed, name, fitting)),
        )


def _may_be(exercise: Exercise, placed: PlacedTask, request: CompressionRequest) -> bool:
    """A piece can be called anything, so what is said to be repertoire is no scale; nor is what is too wide."""
    area = placed.task.area or placed.block.area
    if area == "repertoire" and exercise.area != "repertoire":
        return False
    return not too_wide(exercise, request.learner.limits)


def _can_be(exercise: str, settings: dict[str, Any], instruments: Instruments, learner: PitchRange) -> bool:
    """Whether the settings go together, within what the learner wants to use of the instrument."""
    if not settings and learner == EVERY_PITCH:
        return True
    try:
        exercise_with(instruments, exercise, settings, learner)
    except InvalidInputError:
        return False
    return True


def _operations(placed: PlacedTask, exercise: str, settings: dict[str, Any]) -> Iterable[PatchOperation]:
    said = {"exercise": exercise, **({"settings": settings} if settings else {})}
    if not placed.alone:
        for name, value in said.items():
            yield PatchOperation(op="add", path=f"{placed.pointer}/{name}", value=value)
        return
    block = placed.block
    named = {"id": block.id} if block.id is not None else {}
    task = {**named, "title": block.title, "minutes": placed.minutes, **said}
    yield PatchOperation(op="add", path=f"{placed.pointer}/tasks", value=[task])
