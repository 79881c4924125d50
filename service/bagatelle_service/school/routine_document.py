"""A routine as one JSON document: what a revision stores, and what is exported and imported.

It is what a plan takes and what does not change from day to day. It names nobody, and holds no id of the school.
"""

from collections.abc import Iterable
from datetime import date
from typing import Annotated, Literal

import msgspec
from bagatelle.engine.identity import task_ids
from bagatelle.engine.placing import place_tasks
from bagatelle.model.errors import FieldError
from bagatelle.model.request import (
    TASKS_LIMIT,
    CompressionRequest,
    Id,
    InstrumentName,
    Learner,
    Limits,
    Locale,
    PolicyChoices,
    Routine,
    Task,
)
from bagatelle.wrong_fields import refuse
from msgspec import Meta, Struct

Pointer = Annotated[str, Meta(max_length=64, pattern=r"^(/[a-z0-9]+)+$(?!\n)")]


class TaskPlace(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A task's key, and where the task stands."""

    key: Id
    """The task's own `id`, or the one made where it has none."""
    pointer: Pointer
    """JSON Pointer from the root of the document; a block's, where the block lists no tasks."""


class RoutineContent(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What of a plan's request does not change from day to day."""

    instrument: InstrumentName | None = None
    """The id of a plugin's instrument, or an ordinary name in English, such as alto saxophone."""
    locale: Locale = "en-GB"
    learner: Learner = Learner()
    """Its limits are facts about a body: refused where the school does not keep such facts."""
    policy: PolicyChoices = PolicyChoices()
    routine: Routine


class RoutineDocument(RoutineContent, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A routine by itself: it names nobody, and can be taken into any school.

    Titles and wording are the learner's own, and limits of the body are in it where the school keeps them.
    """

    format: Literal["bagatelle-routine"]
    version: Literal[1]
    tasks: Annotated[tuple[TaskPlace, ...], Meta(max_length=TASKS_LIMIT)]
    """The key of each task, in the order of the routine."""


def document_of(content: RoutineContent) -> RoutineDocument:
    """Write a routine's content, found right before, as a document.

    :raises InvalidInputError: where a task has no usual minutes.
    """
    wrong: list[FieldError] = []
    placed = place_tasks(content.routine, wrong)
    refuse(wrong)
    keys = task_ids([each.task for each in placed])
    return RoutineDocument(
        format="bagatelle-routine",
        version=1,
        instrument=content.instrument,
        locale=content.locale,
        learner=content.learner,
        policy=content.policy,
        routine=content.routine,
        tasks=tuple(TaskPlace(key=key, pointer=each.pointer) for key, each in zip(keys, placed, strict=True)),
    )


def checked_document(document: RoutineDocument) -> RoutineDocument:
    """See that a document names the keys that its tasks have.

    :raises InvalidInputError: where it names others.
    """
    right = document_of(document).tasks
    wrong = [
        FieldError(
            pointer=f"/tasks/{place}/{field}",
            message=f"{getattr(given, field)!r} is not what the task has",
            accepted=getattr(expected, field),
        )
        for place, (given, expected) in enumerate(zip(document.tasks, right, strict=False))
        for field in ("key", "pointer")
        if getattr(given, field) != getattr(expected, field)
    ]
    if len(document.tasks) != len(right):
        message = f"{len(document.tasks)} tasks are listed"
        wrong.append(
            FieldError(
                pointer="/tasks", message=message, accepted=f"the routine's tasks, which are {len(right)}"
            )
        )
    refuse(wrong)
    return document


def same_content(one: RoutineContent, other: RoutineContent) -> bool:
    """Tell whether two hold the same, whatever else is said of them."""
    return all(getattr(one, name) == getattr(other, name) for name in RoutineContent.__struct_fields__)


def planning_request(content: RoutineContent, day: date) -> CompressionRequest:
    """Ask for a day's plan of it, as it stands."""
    return CompressionRequest(
        routine=content.routine,
        instrument=content.instrument,
        date=day,
        locale=content.locale,
        learner=content.learner,
        policy=content.policy,
    )


def health_facts(learner: Learner) -> list[FieldError]:
    """List the facts about a body that a learner's fields hold."""
    accepted = "no such field, or a school whose `keeps_health_facts` is true, which its owner sets"
    return [
        FieldError(
            pointer=f"/learner/limits/{name}",
            message="a fact about a body, which this school does not keep",
            accepted=accepted,
        )
        for name in Limits.__struct_fields__
        if getattr(learner.limits, name) is not None
    ]


def write_document(document: RoutineDocument) -> str:
    """Write a document as it is stored."""
    return msgspec.json.encode(document).decode()


def read_document(body: str) -> RoutineDocument:
    """Read a document that was stored."""
    return msgspec.json.decode(body, type=RoutineDocument)


def tasks_of(document: RoutineDocument) -> Iterable[tuple[str, Task]]:
    """The tasks of a routine, each with its key; a block without tasks is one of its own title."""
    tasks = (
        task
        for block in document.routine.blocks
        for task in (block.tasks or (Task(id=block.id, title=block.title),))
    )
    return zip((place.key for place in document.tasks), tasks, strict=True)
