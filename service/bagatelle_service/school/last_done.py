"""When each unit of a routine was last done, as day sheets look at it."""

from datetime import date, timedelta
from typing import Final
from uuid import UUID

import msgspec
from sqlalchemy import func, select

from bagatelle_service.database.tables import LogEntry, StoredTask
from bagatelle_service.school.work import Work

LOOKS_BACK: Final = timedelta(days=366)
"""What was done before counts as never done: it comes first in either case."""

LastDone = dict[str, dict[str, date]]
"""Task -> unit -> the last day on which it was done whole."""


async def last_done_before(work: Work, student_id: UUID, routine_id: UUID, day: date) -> LastDone:
    """Say when the units of a routine were last done before a day, as logs tell it now.

    One pass over the student's own entries of a year, whatever else the school holds.
    """
    own_task = (StoredTask.school_id == LogEntry.school_id) & (StoredTask.id == LogEntry.task_id)
    statement = (
        select(StoredTask.key, LogEntry.units, func.max(LogEntry.day))
        .join(StoredTask, own_task)
        .where(
            LogEntry.student_id == student_id,
            LogEntry.day >= day - LOOKS_BACK,
            LogEntry.day < day,
            LogEntry.removed_at.is_(None),
            StoredTask.routine_id == routine_id,
        )
        .group_by(StoredTask.key, LogEntry.units)
    )
    found: LastDone = {}
    for key, units, last in await work.session.execute(statement):
        of_task = found.setdefault(key, {})
        for unit in msgspec.json.decode(units, type=tuple[str, ...]):
            of_task[unit] = max(last, of_task.get(unit, last))
    # In one order whatever the database's is: what is stored of it can be compared.
    return {key: dict(sorted(units.items())) for key, units in sorted(found.items()) if units}
