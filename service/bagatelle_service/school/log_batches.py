"""Entries of a log that are sent together: all are stored, or none; those that are there already are known."""

from collections.abc import Iterable
from uuid import UUID

from bagatelle import Instruments
from bagatelle.model.errors import FieldError
from bagatelle.wrong_fields import refuse
from msgspec import Struct
from sqlalchemy import insert, select

from bagatelle_service.database.tables import LogEntry, Student
from bagatelle_service.school.answers import Made, made
from bagatelle_service.school.errors import StoredOtherwiseError
from bagatelle_service.school.log_entries import NewLogEntries, NewLogEntry, StoredLogEntries, fingerprint_of
from bagatelle_service.school.log_rows import SentEntry, rows_of
from bagatelle_service.school.logged_units import KnownUnits
from bagatelle_service.school.secrets import same
from bagatelle_service.school.work import Work


class _Sorted(Struct, frozen=True, kw_only=True):
    """What is to be done with each entry."""

    new: list[SentEntry]
    known: int
    removed: int


async def store_log_entries(
    work: Work, student_id: UUID, body: NewLogEntries, instruments: Instruments, known_units: KnownUnits
) -> Made:
    """Store those entries that are not there yet.

    :raises MissingError: where the school has no such student.
    :raises NotAllowedError: where the caller does not reach them.
    :raises InvalidInputError: where anything is wrong with any entry.
    :raises StoredOtherwiseError: where other content is stored under some of the ids.
    """
    student = await work.hold_student(student_id)
    entries = _each_once(body.entries)
    found = await _sort(work, student, entries)
    if found.new:
        rows = await rows_of(work, student, found.new, instruments, known_units)
        common = {
            "school_id": work.school_id,
            "student_id": student.id,
            "revision": 1,
            "created_at": work.now,
            "removed_at": None,
        }
        # With their nulls, as else each row of another shape than the one before would be a statement of its own.
        store = insert(LogEntry).execution_options(render_nulls=True)
        await work.session.execute(store, [row | common for row in rows])
    doubled = len(body.entries) - len(entries)
    answer = StoredLogEntries(stored=len(found.new), known=found.known + doubled, removed=found.removed)
    return made(answer, location=f"/v1/students/{student.id}/logs")


def _each_once(entries: Iterable[NewLogEntry]) -> dict[UUID, tuple[str, NewLogEntry, bytes]]:
    """Take each entry once, with its pointer and fingerprint.

    :raises InvalidInputError: where two of one id differ.
    """
    found: dict[UUID, tuple[str, NewLogEntry, bytes]] = {}
    wrong = []
    for place, entry in enumerate(entries):
        pointer, entry_id, fingerprint = f"/entries/{place}", UUID(entry.id), fingerprint_of(entry)
        first = found.setdefault(entry_id, (pointer, entry, fingerprint))
        if not same(first[2], fingerprint):
            message = f"the entry at {first[0]} has the same id and other content"
            wrong.append(FieldError(pointer=pointer, message=message, accepted="an id of its own"))
    refuse(wrong)
    return found


async def _sort(work: Work, student: Student, entries: dict[UUID, tuple[str, NewLogEntry, bytes]]) -> _Sorted:
    """Tell new entries from those that are there.

    :raises StoredOtherwiseError: where other content is stored under some of the ids.
    """
    columns = (LogEntry.id, LogEntry.student_id, LogEntry.fingerprint, LogEntry.removed_at, LogEntry.revision)
    rows = await work.session.execute(select(*columns).where(LogEntry.id.in_(entries)))
    there = {row.id: row for row in rows}
    new, known, removed, otherwise = [], 0, 0, []
    for entry_id, (pointer, entry, fingerprint) in entries.items():
        row = there.get(entry_id)
        if row is None:
            new.append(SentEntry(pointer=pointer, id=entry_id, content=entry))
        elif row.student_id != student.id:
            message = "an entry of another student has this id"
            otherwise.append(FieldError(pointer=pointer, message=message, accepted="a new id"))
        elif row.removed_at is not None:
            removed += 1
        elif same(row.fingerprint or b"", fingerprint):
            known += 1
        else:
            message = f"other content is stored under this id, in revision {row.revision}"
            accepted = "the content that is stored; a correction by PUT with If-Match"
            otherwise.append(FieldError(pointer=pointer, message=message, accepted=accepted))
    if otherwise:
        raise StoredOtherwiseError(tuple(otherwise))
    return _Sorted(new=new, known=known, removed=removed)
