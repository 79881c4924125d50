"""Catalogue exercises that a title in a learner's own words may mean: offered, never taken silently.

They are looked for among the exercises of the request's instrument alone, and only where a task says nothing of
which material it is. A finding of the question `exercise` therefore always stands beside one of `which`: it opens
nothing by itself, and goes when the four questions are answered.
"""

from collections.abc import Iterable
from typing import Any

from bagatelle.catalogue.instruments import Instruments
from bagatelle.engine.placing import PlacedTask
from bagatelle.engine.title_settings import settings_said
from bagatelle.model.errors import InvalidInputError
from bagatelle.model.exercise import Exercise
from bagatelle.model.plan import Finding, LikelyExercise, PatchOperation
from bagatelle.model.request import CompressionRequest
from bagatelle.model.text import Message
from bagatelle.policy.table import Policy


def exercise_findings(
    task_id: str, placed: PlacedTask, request: CompressionRequest, instruments: Instruments, policy: Policy
) -> tuple[Finding, ...]:
    """One finding with the likeliest exercises, or none where nothing is like the title."""
    likely = tuple(_likely(placed, request, instruments, policy))
    if not likely:
        return ()
    titles = tuple(one.title for one in likely)
    text = Message("engine.finding.exercise", {"title": _title(placed), "exercises": titles})
    return (
        Finding(
            task=task_id,
            question="exercise",
            pointer=f"{placed.pointer}/{'tasks' if placed.alone else 'exercise'}",
            message=instruments.wording.render(text, request.locale),
            proposal=(),
            likely=likely,
        ),
    )


def _likely(
    placed: PlacedTask, request: CompressionRequest, instruments: Instruments, policy: Policy
) -> Iterable[LikelyExercise]:
    if request.instrument is None or placed.task.passages:
        return
    title = _title(placed)
    index = instruments.title_index(request.instrument, request.locale)
    found = [
        one for one in index.likely(title, policy.least_likeness) if _may_be(one.exercise, placed, request)
    ]
    for one in found[: policy.likely_exercises]:
        name = one.exercise.id
        said = settings_said(one.exercise, title, index.named_values(name, title))
        settings = said if _go_together(name, said, instruments) else {}
        yield LikelyExercise(
            exercise=name,
            title=instruments.wording.render(Message(f"{name}.title"), request.locale),
            likeness=one.likeness,
            proposal=tuple(_operations(placed, name, settings)),
        )


def _may_be(exercise: Exercise, placed: PlacedTask, request: CompressionRequest) -> bool:
    """A piece can be called anything, so what is said to be repertoire is no scale; nor is what is too wide."""
    area = placed.task.area or placed.block.area
    if area == "repertoire" and exercise.area != "repertoire":
        return False
    widest = request.learner.limits.widest_interval_semitones
    needed = exercise.widest_interval_semitones
    return widest is None or needed is None or needed <= widest


def _go_together(exercise: str, settings: dict[str, Any], instruments: Instruments) -> bool:
    if not settings:
        return True
    if instruments.settings_errors(exercise, settings):
        return False
    try:
        instruments.material(exercise, instruments.complete_settings(exercise, settings))
    except InvalidInputError:
        # A title may name things that no exercise has at once; then its defaults are proposed.
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


def _title(placed: PlacedTask) -> str:
    return placed.task.title or placed.block.title
