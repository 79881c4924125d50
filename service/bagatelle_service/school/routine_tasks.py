"""The tasks of a routine: each has an id for good, by which logs know it, and the client's own key."""

from collections.abc import Iterable
from uuid import UUID, uuid4

from msgspec import Struct
from sqlalchemy import select

from bagatelle_service.database.tables import StoredTask
from bagatelle_service.school.routine_document import TaskPlace
from bagatelle_service.school.work import Work


class TaskAnswer(Struct, frozen=True, kw_only=True):
    """A task of a routine."""

    id: UUID
    """For good: the same key in a later revision has the same id, and no other key ever has it."""
    key: str
    """The task's own `id`, or the one made where it has none."""
    pointer: str
    """JSON Pointer to the task; to its block, where the block lists no tasks."""


async def keep_tasks(work: Work, routine_id: UUID, keys: Iterable[str]) -> None:
    """Take over the tasks of a new revision: new keys get ids, old ones theirs back, others count as removed."""
    rows = await work.session.scalars(select(StoredTask).where(StoredTask.routine_id == routine_id))
    there = {row.key: row for row in rows}
    wanted = set(keys)
    for key, row in there.items():
        if key in wanted:
            row.removed_at = None
        elif row.removed_at is None:
            row.removed_at = work.now
    work.session.add_all(
        StoredTask(
            school_id=work.school_id,
            id=uuid4(),
            routine_id=routine_id,
            key=key,
            created_at=work.now,
            removed_at=None,
        )
        for key in sorted(wanted - there.keys())
    )
    await work.session.flush()


async def task_answers(work: Work, routine_id: UUID, tasks: Iterable[TaskPlace]) -> tuple[TaskAnswer, ...]:
    """Say of each task of a revision which it is, tasks that were removed since too."""
    rows = await work.session.scalars(select(StoredTask).where(StoredTask.routine_id == routine_id))
    ids = {row.key: row.id for row in rows}
    return tuple(TaskAnswer(id=ids[task.key], key=task.key, pointer=task.pointer) for task in tasks)
