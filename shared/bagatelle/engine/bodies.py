"""What a task is, whatever the day: of the catalogue or the learner's own, with what is asked about it."""

from collections.abc import Iterator, Mapping
from typing import Any

from bagatelle.engine.budget import seconds_of
from bagatelle.engine.catalogue_task import settle_exercise
from bagatelle.engine.known import Body, Known
from bagatelle.engine.lengths import room_of
from bagatelle.engine.likely_exercises import exercise_findings
from bagatelle.engine.own_task import likely_area, settle_own_task, settle_passages
from bagatelle.engine.placing import PlacedTask
from bagatelle.engine.proposals import proposal_for, within
from bagatelle.engine.settled import SettledUnit
from bagatelle.engine.specificity import area_finding, findings_of_own_task
from bagatelle.engine.study import unit_of_proposal
from bagatelle.model.errors import FieldError
from bagatelle.model.exercise import Exercise
from bagatelle.model.plan import Finding
from bagatelle.model.request import Task
from bagatelle.model.text import Message
from bagatelle.model.vocabulary import MUSIC_AREAS, Concreteness
from bagatelle.wording.render import Say


def body_of_task(
    task_id: str, placed: PlacedTask, known: Known, errors: list[FieldError]
) -> tuple[Body, tuple[Finding, ...]] | None:
    """What the task is, with its findings; None, with errors added, where it is wrong."""
    if placed.task.exercise is not None:
        return _body_of_exercise(placed, known, errors)
    before = len(errors)
    passages = settle_passages(placed, errors)
    _check_own_task(placed, errors)
    if len(errors) > before:
        return None
    return _own_body(task_id, placed, passages, known)


def _check_own_task(placed: PlacedTask, errors: list[FieldError]) -> None:
    if placed.task.title is None:
        errors.append(
            FieldError(
                pointer=f"{placed.pointer}/title",
                message="The task has neither an exercise nor a title.",
                accepted="The id of a catalogue exercise, or a title of your own.",
            )
        )
    if placed.task.settings:
        errors.append(
            FieldError(
                pointer=f"{placed.pointer}/settings",
                message="Settings belong to a catalogue exercise, and none is named.",
                accepted="An exercise beside them, or passages instead.",
            )
        )


def _own_body(
    task_id: str, placed: PlacedTask, passages: tuple[SettledUnit, ...], known: Known
) -> tuple[Body, tuple[Finding, ...]]:
    task = placed.task
    given_area = task.area or placed.block.area
    area = given_area or likely_area(placed.title)
    room_seconds = room_of(placed, known)
    proposal = proposal_for(known.instruments, known.request.instrument, area)
    if not passages:
        proposal = within(proposal, room_seconds)
    findings = findings_of_own_task(task_id, placed, proposal, room_seconds, known.say)
    # A task with open questions is planned as open, whatever it says of itself.
    concreteness: Concreteness = "open" if findings else task.concreteness or "exact"
    findings = (
        *findings,
        *exercise_findings(task_id, placed, known.request, known.instruments, known.policy, known.say),
    )
    if given_area is None:
        findings = (*findings, area_finding(task_id, placed, area, known.say))
    usual_seconds = seconds_of(placed.minutes)
    own = settle_own_task(placed, passages, proposal, usual_seconds, known.policy)
    body = Body(
        exercise=None,
        area=area,
        title=placed.title,
        concreteness=concreteness,
        usual_seconds=usual_seconds,
        units=own.units,
        material=passages or (unit_of_proposal(proposal),),
        words=own.words,
        filled_in=own.filled_in,
    )
    return body, findings


def _body_of_exercise(
    placed: PlacedTask, known: Known, errors: list[FieldError]
) -> tuple[Body, tuple[Finding, ...]] | None:
    found = settle_exercise(placed, known.instruments, known.request.learner.limits, errors)
    if found is None:
        return None
    task = placed.task
    body = Body(
        exercise=found.exercise,
        area=task.area or found.exercise.area,
        title=title_of_exercise(task, found.exercise, known.say),
        concreteness=task.concreteness or found.exercise.concreteness,
        usual_seconds=seconds_of(placed.minutes),
        units=found.units,
        material=found.units,
        words=found.words,
        filled_in=found.filled_in,
        loudness_at_ear=found.loudness_at_ear,
    )
    return body, ()


def title_of_exercise(task: Task, exercise: Exercise, say: Say) -> str:
    """What a catalogue task is called: a piece by its name, else the exercise and what it is done with."""
    if task.title:
        return task.title
    name, words = next(_words_given(task, exercise), ("", ""))
    if name == "piece" and exercise.area in MUSIC_AREAS:
        return words
    title = Message(f"{exercise.id}.title")
    return say(Message("engine.exercise-of", {"title": title, "words": words}) if words else title)


def _words_given(task: Task, exercise: Exercise) -> Iterator[tuple[str, str]]:
    """The settings in free words that the task gives, what a piece is called before all others."""
    properties: Mapping[str, Any] = exercise.settings_schema.get("properties", {})
    for name in sorted(properties, key=lambda each: each != "piece"):
        value = task.settings.get(name)
        if isinstance(value, str) and value.strip() and "enum" not in properties[name]:
            yield name, value
