"""Rosters: students by the hundred, each known by the client's own key, all of them or none."""

from collections import Counter
from collections.abc import Iterable, Iterator
from typing import Any, Final
from uuid import UUID

from msgspec import Struct

from bagatelle_service.school.answers import Made, made
from bagatelle_service.school.errors import NotAllowedError
from bagatelle_service.school.import_rows import (
    Form,
    ReadRow,
    ReadRows,
    WrongCell,
    read_csv,
    read_ndjson,
    refuse_rows,
)
from bagatelle_service.school.roster_changes import (
    Outcome,
    RosterRow,
    StudentChange,
    change_of,
    full_groups,
    look_up,
    store,
    wrong_of,
)
from bagatelle_service.school.work import Work

ROSTER_LIMIT: Final = 10_000


class Roster(Struct, frozen=True, kw_only=True):
    """A roster as it was read."""

    read: ReadRows[RosterRow]
    update: bool
    """Whether students who are there already may be changed."""
    dry_run: bool


class ImportedStudent(Struct, frozen=True, kw_only=True):
    """What became of a row."""

    line: int
    key: str
    id: UUID | None
    """Null where the student would be made and was not, as it is a dry run."""
    outcome: Outcome
    changed: tuple[str, ...]
    """The fields that are others than before."""


class RosterAnswer(Struct, frozen=True, kw_only=True):
    """What a roster came to, or would come to."""

    dry_run: bool
    made: int
    changed: int
    known: int
    """Those who are there already, just as the row says."""
    students: tuple[ImportedStudent, ...]
    """In the order of the rows."""


def read_roster(raw: bytes, form: Form) -> ReadRows[RosterRow]:
    """Read a roster.

    :raises WrongRowsError: where it is none at all.
    """
    if form == "csv":
        return read_csv(raw, RosterRow, ROSTER_LIMIT, _cells)
    return read_ndjson(raw, RosterRow, ROSTER_LIMIT)


def _cells(cells: dict[str, str]) -> dict[str, Any]:
    if "groups" not in cells:
        return dict(cells)
    names = [name.strip() for name in cells["groups"].split(";")]
    return {**cells, "groups": [name for name in names if name]}


async def import_roster(work: Work, roster: Roster) -> Made:
    """Make the students of a roster who are not there yet, and change others where that is asked for.

    :raises WrongRowsError: with every wrong row; then nothing is stored.
    :raises NotAllowedError: where the caller may not change students or groups, and the roster asks for it.
    """
    _refuse_scope(work, roster)
    rows = roster.read.rows
    there = await look_up(work, rows, to_change=not roster.dry_run)
    changes = [change_of(row, there) for row in rows]
    refuse_rows(
        [
            *roster.read.wrong,
            *_repeated(rows),
            *(wrong for change in changes for wrong in wrong_of(change, there, update=roster.update)),
            *full_groups(changes, there),
        ]
    )
    if not roster.dry_run:
        await store(work, changes, there)
    counts = Counter(change.outcome for change in changes)
    answer = RosterAnswer(
        dry_run=roster.dry_run,
        made=counts["made"],
        changed=counts["changed"],
        known=counts["known"],
        students=tuple(map(_imported, changes)),
    )
    return made(answer, location="/v1/students")


def _refuse_scope(work: Work, roster: Roster) -> None:
    if roster.update and "students.change" not in work.caller.scopes:
        raise NotAllowedError("To change students this needs a token with the scope students.change.")
    with_groups = any(row.content.groups is not None for row in roster.read.rows)
    if with_groups and "groups.change" not in work.caller.scopes:
        raise NotAllowedError("To put students into groups this needs a token with the scope groups.change.")


def _repeated(rows: Iterable[ReadRow[RosterRow]]) -> Iterator[WrongCell]:
    lines: dict[str, int] = {}
    for row in rows:
        line = lines.setdefault(row.content.key, row.line)
        if line != row.line:
            yield row.wrong("key", f"the key stands in line {line} already", "each key once")


def _imported(change: StudentChange) -> ImportedStudent:
    return ImportedStudent(
        line=change.row.line,
        key=change.row.content.key,
        id=None if change.student is None else change.student.id,
        outcome=change.outcome,
        changed=change.fields if change.outcome == "changed" else (),
    )
