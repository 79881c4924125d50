"""What an entry of a log is of, as it is stored: found by a step of a sheet, or by a task."""

from collections.abc import Iterable, Sequence
from datetime import date
from typing import Final
from uuid import UUID

from bagatelle.model.errors import FieldError
from msgspec import Struct

from bagatelle_service.school.log_entries import LogContent

NAMES_SHOWN: Final = 30


class GivenEntry(Struct, frozen=True, kw_only=True):
    """An entry that is new, or other than it was."""

    pointer: str
    """Where it stands in the request."""
    id: UUID
    content: LogContent
    day: date

    def wrong(self, field: str, message: str, accepted: str) -> FieldError:
        """Say what is wrong with a field of it."""
        return FieldError(pointer=f"{self.pointer}/{field}", message=message, accepted=accepted)


class Thing(Struct, frozen=True, kw_only=True):
    """What an entry is of."""

    task_id: UUID | None = None
    routine_id: UUID | None = None
    routine_revision: int | None = None
    exercise: str | None = None
    exercise_version: str | None = None
    area: str | None = None
    units: tuple[str, ...] = ()


def version_text(version: str, plugin_hash: str) -> str:
    """Write what a plugin was, as entries keep it."""
    return f"{version} {plugin_hash}"


def some_of(names: Sequence[str]) -> str:
    """List names, and not too many of them."""
    more = f" and {len(names) - NAMES_SHOWN} more" if len(names) > NAMES_SHOWN else ""
    return ", ".join(names[:NAMES_SHOWN]) + more


def unknown_units(entry: GivenEntry, known: Iterable[str], whose: str) -> list[FieldError]:
    """List the units of an entry that there are not."""
    there = frozenset(known)
    accepted = f"units of the {whose}: {some_of(sorted(there))}" if there else "no unit: none is known"
    return [
        entry.wrong(f"units/{place}", f"the {whose} has no unit {unit!r}", accepted)
        for place, unit in enumerate(entry.content.units or ())
        if unit not in there
    ]
