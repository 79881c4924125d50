"""What somebody chose for one plan beside its routine: pins, its length, own words for a step.

Tasks are named by their keys, as the routine and the plan's card name them. Choices belong to the plan, so another
kind of hard day of the same routine may have others; and they outlive a new preparation.
"""

from itertools import islice
from typing import Annotated, Final

import msgspec
from bagatelle.json_pointer import pointer_to
from bagatelle.model.card import Card, CardTask
from bagatelle.model.errors import FieldError
from bagatelle.model.request import TASKS_LIMIT, Id, Routine, Title, Wording
from bagatelle.model.vocabulary import Pin
from bagatelle.wrong_fields import refuse
from msgspec import Meta, Struct
from msgspec.structs import replace

from bagatelle_service.school.routine_document import RoutineContent, RoutineDocument, tasks_of

_OF_TASKS: Final = ("pins", "wording")


class OwnWords(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Own words for the step of a task; a field left out keeps the words that are made. Cautions stay."""

    title: Title | None = None
    how: Wording | None = None
    done_when: Wording | None = None


class PlanChoices(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What is chosen for a plan. Each task by its key, as the routine has it."""

    pins: Annotated[dict[Id, Pin], Meta(max_length=TASKS_LIMIT)] = {}
    """In place of the pin that the routine has."""
    share: Annotated[float, Meta(gt=0, le=1)] | None = None
    """Of the usual time, in place of the routine's own; over a half is refused as not short."""
    wording: Annotated[dict[Id, OwnWords], Meta(max_length=TASKS_LIMIT)] = {}

    @property
    def decides(self) -> tuple[object, ...]:
        """All of it that the engine decides by; plans that share it are prepared together."""
        return (self.share, *sorted(self.pins.items()))


def read_choices(text: str) -> PlanChoices:
    """Read choices that were stored."""
    return msgspec.json.decode(text, type=PlanChoices)


def write_choices(choices: PlanChoices) -> str:
    """Write choices as they are stored: the same are the same text, in whatever order they came."""
    return msgspec.json.encode(choices, order="sorted").decode()


def refuse_unknown_tasks(choices: PlanChoices, document: RoutineDocument) -> None:
    """See that choices name tasks of the routine alone.

    :raises InvalidInputError: where they name others.
    """
    keys = _keys(document)
    accepted = f"a task of the routine: {', '.join(keys)}"
    refuse(
        FieldError(
            pointer=pointer_to([field, name]),
            message=f"the routine has no task {name!r}",
            accepted=accepted,
        )
        for field in _OF_TASKS
        for name in getattr(choices, field)
        if name not in keys
    )


def without_gone_tasks(
    choices: PlanChoices, document: RoutineDocument
) -> tuple[PlanChoices, tuple[str, ...]]:
    """Take out what was chosen for tasks that the routine has lost; and which tasks these are."""
    keys = _keys(document)
    gone = {name for field in _OF_TASKS for name in getattr(choices, field)} - set(keys)
    kept = {
        field: {name: value for name, value in getattr(choices, field).items() if name not in gone}
        for field in _OF_TASKS
    }
    return replace(choices, **kept), tuple(sorted(gone))


def chosen_content(document: RoutineDocument, choices: PlanChoices) -> RoutineContent:
    """A routine's content as the choices have it, for the engine."""
    policy = document.policy if choices.share is None else replace(document.policy, share=choices.share)
    return replace(document, policy=policy, routine=_pinned(document, choices.pins))


def worded(card: Card, choices: PlanChoices) -> Card:
    """Put own words in the place of those that were made."""
    if not choices.wording:
        return card
    words = choices.wording
    return replace(card, tasks=tuple(_worded(task, words.get(task.id)) for task in card.tasks))


def _keys(document: RoutineDocument) -> tuple[str, ...]:
    return tuple(task.key for task in document.tasks)


def _pinned(document: RoutineDocument, pins: dict[str, Pin]) -> Routine:
    if not pins:
        return document.routine
    # Each task gets its key as its id, so that a pin changes no key.
    tasks = iter([replace(task, id=key, pin=pins.get(key, task.pin)) for key, task in tasks_of(document)])
    blocks = (
        replace(block, tasks=tuple(islice(tasks, len(block.tasks) or 1))) for block in document.routine.blocks
    )
    return replace(document.routine, blocks=tuple(blocks))


def _worded(task: CardTask, words: OwnWords | None) -> CardTask:
    if words is None:
        return task
    changed: dict[str, str] = {}
    if words.title is not None:
        changed["title"] = words.title
        # Where no unit says what of it, the title stands for it.
        changed["what"] = words.title if task.what == task.title else task.what
    for field, own in (("how", words.how), ("done_when", words.done_when)):
        if own is not None:
            # The words for several units are the made ones too, so they give way.
            changed |= {field: own, f"{field}_each": ""}
    return replace(task, **changed)
