"""From entries as they were sent to what is stored of them, with all that is wrong said at once."""

from collections.abc import Iterable, Iterator, Sequence
from typing import Any
from uuid import UUID

import msgspec
from bagatelle import Instruments
from bagatelle.model.errors import FieldError
from bagatelle.wrong_fields import refuse
from msgspec import Struct

from bagatelle_service.database.tables import Student
from bagatelle_service.school.log_days import days_to_log
from bagatelle_service.school.log_entries import LogContent, fingerprint_of
from bagatelle_service.school.logged_steps import things_of_steps
from bagatelle_service.school.logged_tasks import things_of_tasks
from bagatelle_service.school.logged_things import GivenEntry, Thing
from bagatelle_service.school.logged_units import KnownUnits
from bagatelle_service.school.work import Work


class SentEntry(Struct, frozen=True, kw_only=True):
    """An entry that is new, or other than it was, as it was sent."""

    pointer: str
    """Where it stands in the request."""
    id: UUID
    content: LogContent


async def rows_of(
    work: Work,
    student: Student,
    sent: Sequence[SentEntry],
    instruments: Instruments,
    known_units: KnownUnits,
) -> list[dict[str, Any]]:
    """Say what is stored of entries, in their order, but for what says who stored them and when.

    :raises InvalidInputError: where anything is wrong with any of them.
    """
    days = await days_to_log(work, student)
    wrong: list[FieldError] = []
    entries = []
    for each in sent:
        wrong.extend(_wrong_by_itself(each))
        day = days.day(each.content, each.pointer, wrong)
        if day is not None:
            entries.append(GivenEntry(pointer=each.pointer, id=each.id, content=each.content, day=day))
    by_step = [entry for entry in entries if entry.content.step is not None]
    by_task = [entry for entry in entries if entry.content.step is None and entry.content.task is not None]
    things = {
        **await things_of_steps(work, student, by_step, instruments, wrong),
        **await things_of_tasks(work, student, by_task, known_units, instruments, wrong),
    }
    rows = [_row_of(entry, things.get(entry.id, Thing(area=entry.content.area))) for entry in entries]
    refuse((*wrong, *_nothing_done(entries, rows)))
    return rows


def _wrong_by_itself(entry: SentEntry) -> Iterator[FieldError]:
    """What of an entry does not go together, whoever sends it."""
    content = entry.content
    named = [name for name in ("step", "task") if getattr(content, name) is not None]
    faults = []
    if len(named) > 1:
        faults.append(("task", "both a step and a task are given", "the step alone, or the task alone"))
    if named and content.area is not None:
        faults.append(("area", f"the area is that of the {named[0]}", "no area beside a step or a task"))
    if not named and content.units:
        faults.append(("units", "units are given, and nothing that has any", "a step or a task beside them"))
    if content.step is not None and content.kind == "free":
        faults.append(("kind", "a step of a sheet is no free playing", "usual or short"))
    for field, message, accepted in faults:
        yield FieldError(pointer=f"{entry.pointer}/{field}", message=message, accepted=accepted)
    seen: set[str] = set()
    for place, unit in enumerate(content.units or ()):
        if unit in seen:
            pointer = f"{entry.pointer}/units/{place}"
            yield FieldError(pointer=pointer, message="the unit stands twice", accepted="each unit once")
        seen.add(unit)


def _nothing_done(entries: Iterable[GivenEntry], rows: Iterable[dict[str, Any]]) -> Iterator[FieldError]:
    for entry, row in zip(entries, rows, strict=True):
        if row["seconds"] == 0 and row["units"] == "[]":
            yield entry.wrong("seconds", "neither time nor a whole unit was done", "from 1 to 86400 seconds")


def _row_of(entry: GivenEntry, thing: Thing) -> dict[str, Any]:
    content = entry.content
    return {
        "id": entry.id,
        "day": entry.day,
        "kind": content.kind,
        "step": content.step,
        "task_id": thing.task_id,
        "routine_id": thing.routine_id,
        "routine_revision": thing.routine_revision,
        "exercise": thing.exercise,
        "exercise_version": thing.exercise_version,
        "area": thing.area,
        "units": msgspec.json.encode(thing.units).decode(),
        "seconds": content.seconds,
        "done_when_met": content.done_when_met,
        "fingerprint": fingerprint_of(content),
    }
