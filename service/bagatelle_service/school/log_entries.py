"""Logs as clients send them, and as they are shown."""

import hashlib
from datetime import date, datetime
from typing import Annotated, Final
from uuid import UUID

import msgspec
from bagatelle.model.progress import LogKind
from bagatelle.model.vocabulary import Area
from msgspec import Meta, Struct

from bagatelle_service.database.tables import LogEntry
from bagatelle_service.school.fields import IdText, Revision

BATCH_LIMIT: Final = 1000
UNITS_LIMIT: Final = 1000
"""No exercise has more."""
DAY_SECONDS: Final = 86_400
_FINGERPRINT_BYTES: Final = 16

UnitId = Annotated[str, Meta(min_length=1, max_length=64)]


class LogContent(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What was done of one thing on one day: a step of that day's sheet, or a task, or neither."""

    day: date | None = None
    """As the student says: what was played past midnight belongs to the day said. Either it or `done_at`."""
    done_at: Annotated[datetime, Meta(tz=True)] | None = None
    """A moment with its offset from UTC: the day is then the date in the student's time zone. It is not stored."""
    kind: LogKind
    """`usual`: of the whole routine. `short`: of a short day. `free`: played for its own sake."""
    step: Annotated[str, Meta(min_length=1, max_length=96)] | None = None
    """Of the day's sheet, by its id; task, exercise, units and area are the step's."""
    task: IdText | None = None
    """Of a routine, by the id that the routine shows."""
    units: Annotated[tuple[UnitId, ...], Meta(max_length=UNITS_LIMIT)] | None = None
    """Those that were done whole, each once. Of a step: all of its own where they are left out."""
    area: Area | None = None
    """Where neither a step nor a task says it."""
    seconds: Annotated[int, Meta(ge=0, le=DAY_SECONDS)]
    """0 only where units were done and nobody took the time."""
    done_when_met: bool | None = None
    """Whether what stands under `done_when` was met; null where nobody says."""


class NewLogEntry(LogContent, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One entry of several."""

    id: IdText
    """Made by the client."""


class NewLogEntries(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Entries that are sent together."""

    entries: Annotated[tuple[NewLogEntry, ...], Meta(min_length=1, max_length=BATCH_LIMIT)]


class LogEntryAnswer(Struct, frozen=True, kw_only=True):
    """An entry of a student's log."""

    id: UUID
    student: UUID
    day: date
    kind: str
    step: str | None
    task: UUID | None
    """Null for free playing, and for what stands in for a task of the routine."""
    routine: UUID | None
    routine_revision: int | None
    """The revision of the routine that the step is of; of a task, the one that held on that day."""
    exercise: str | None
    exercise_version: str | None
    """Version and hash of the plugin that the exercise was of."""
    units: tuple[str, ...]
    area: str | None
    """Of the task, as the routine had it that day."""
    seconds: int
    done_when_met: bool | None
    created_at: datetime
    revision: Revision


class LogEntriesAnswer(Struct, frozen=True, kw_only=True):
    """One page of a student's log, by day and, within a day, by id."""

    entries: tuple[LogEntryAnswer, ...]
    next: str | None
    """The cursor of the next page; null where this is the last."""


class StoredLogEntries(Struct, frozen=True, kw_only=True):
    """What became of entries that were sent together."""

    stored: int
    """Were new."""
    known: int
    """Were there already with the same content, or stand in the request more than once."""
    removed: int
    """Were removed before, and stay so."""


def fingerprint_of(content: LogContent) -> bytes:
    """Tell what was sent apart from anything else that is sent under the same id.

    It goes by what was sent, not by what is stored: a sheet, a routine or a time zone may have changed meanwhile.
    A field left out counts as one of its default, so that a field more, some day, changes no fingerprint.
    """
    said = {
        name: value for name in LogContent.__struct_fields__ if (value := getattr(content, name)) is not None
    }
    if content.units is not None:
        said["units"] = sorted(content.units)
    return hashlib.sha256(msgspec.json.encode(said, order="sorted")).digest()[:_FINGERPRINT_BYTES]


def log_entry_answer(row: LogEntry) -> LogEntryAnswer:
    """Show an entry."""
    return LogEntryAnswer(
        id=row.id,
        student=row.student_id,
        day=row.day,
        kind=row.kind,
        step=row.step,
        task=row.task_id,
        routine=row.routine_id,
        routine_revision=row.routine_revision,
        exercise=row.exercise,
        exercise_version=row.exercise_version,
        units=msgspec.json.decode(row.units, type=tuple[str, ...]),
        area=row.area,
        seconds=row.seconds,
        done_when_met=row.done_when_met,
        created_at=row.created_at,
        revision=row.revision,
    )
