"""A student's progress as it is answered: what the engine made of it, with the tasks that it names."""

from collections.abc import Callable
from datetime import date
from uuid import UUID

import msgspec
from bagatelle.model.progress import Progress
from bagatelle.model.vocabulary import Area
from bagatelle.progress.days import day_of
from msgspec import Struct

from bagatelle_service.progress_question import ProgressFound
from bagatelle_service.school.answers import Made, made
from bagatelle_service.school.practice_facts import AskedStretch, GatheredPractice, gather_practice
from bagatelle_service.school.work import Work


class ProgressTask(Struct, frozen=True, kw_only=True):
    """A task that the progress names."""

    id: UUID
    routine: UUID
    key: str
    title: str | None
    """As the routine has it; null where no routine has the task any more."""
    area: Area | None
    """Of a former task as it was logged last; null where it is not known."""
    current: bool
    """Whether a routine that is not archived has it."""


class ProgressAnswer(Struct, frozen=True, kw_only=True):
    """A student's progress; `progress` names tasks by their ids."""

    student: UUID
    tasks: tuple[ProgressTask, ...]
    """As in `progress`: those that the routines have, in their order, then former ones of which something was
    logged."""
    progress: Progress


async def gather_progress(
    work: Work, student_id: UUID, stretch_of: Callable[[date], AskedStretch]
) -> GatheredPractice:
    """Read what a student's progress is made from.

    :param stretch_of: which stretch is asked for, from the student's own today.
    :raises MissingError: where the school has no such student.
    :raises NotAllowedError: where the caller does not reach them.
    """
    student = await work.student(student_id)
    return await gather_practice(work, student, stretch_of(day_of(work.now, student.time_zone)))


def question_body(gathered: GatheredPractice) -> bytes:
    """Encode the question for the engine."""
    return msgspec.json.encode(gathered.question)


def read_found(body: bytes) -> ProgressFound:
    """Read the engine's answer to it."""
    return msgspec.json.decode(body, type=ProgressFound)


def progress_made(gathered: GatheredPractice, found: ProgressFound) -> Made:
    """Put the answer together."""
    stored = {str(task.id): task for task in gathered.tasks}
    read = {task.id: task for task in found.tasks}
    former_areas = {task.id: task.area for task in gathered.question.facts.tasks}
    tasks = tuple(
        ProgressTask(
            id=task.id,
            routine=task.routine_id,
            key=task.key,
            title=read[name].title if name in read else None,
            area=read[name].area if name in read else former_areas[name],
            current=task.current,
        )
        for name in (each.task for each in found.progress.tasks)
        for task in [stored[name]]
    )
    return made(ProgressAnswer(student=gathered.student_id, tasks=tasks, progress=found.progress))
