"""Routines by the hundred, as they come in: a document a line, or a table with a task a row."""

import datetime as dt
import re
from collections.abc import Iterable, Sequence
from typing import Annotated, Any, Final

from bagatelle.decode import typed
from bagatelle.model.errors import FieldError, InvalidInputError
from bagatelle.model.request import Id, InstrumentName, Minutes, Title, Wording
from bagatelle.model.vocabulary import Area, Pin, Stage, Strain
from msgspec import Meta, Struct

from bagatelle_service.school.fields import Key
from bagatelle_service.school.import_rows import (
    Form,
    ReadRow,
    WrongCell,
    plain_number,
    read_csv,
    read_ndjson,
    refuse_too_many,
    too_much_wrong,
    wrong_cells,
)
from bagatelle_service.school.routine_document import (
    RoutineContent,
    RoutineDocument,
    checked_document,
    document_of,
)

ROUTINES_LIMIT: Final = 1_000
TASK_ROWS_LIMIT: Final = 20_000
_NUMBERS: Final = frozenset({"minutes", "cadence_days"})
_OF_THE_ROUTINE: Final = frozenset({"student_key", "routine_key", "instrument", "block"})
_PLACE: Final = re.compile(r"/routine/blocks/(\d+)(?:/tasks/(\d+)(?:/(\w+))?)?")


class RoutineOfLine(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One routine of one student."""

    student_key: Key
    key: Key
    """The routine's own key, by which it is known when it comes again."""
    document: RoutineDocument
    """As the export of a routine gives it."""


class TaskRow(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One task of a routine. Rows with the same `student_key` and `routine_key` are one routine."""

    student_key: Key
    routine_key: Key
    instrument: InstrumentName | None = None
    """The same in every row of a routine."""
    block: Title
    """Tasks with the same are in one block; blocks and tasks come in the order of their rows."""
    task: Id | None = None
    """The task's key; made from its title or exercise where it has none."""
    title: Title | None = None
    exercise: Annotated[str, Meta(max_length=128)] | None = None
    area: Area | None = None
    stage: Stage | None = None
    minutes: Minutes
    due: dt.date | None = None
    cadence_days: Annotated[int, Meta(ge=1, le=365)] | None = None
    pin: Pin = "auto"
    strain: Strain | None = None
    manner: Wording | None = None
    done_when: Wording | None = None


class RoutineToImport(Struct, frozen=True, kw_only=True):
    """A routine that was read, and the rows that it stands in."""

    student_key: str
    key: str
    document: RoutineDocument
    rows: tuple[ReadRow[Any], ...]
    by_task: dict[tuple[int, int], ReadRow[TaskRow]] | None
    """The row of each task, by the positions of block and task; None where the row is the whole routine."""

    @property
    def line(self) -> int:
        """Where it begins."""
        return self.rows[0].line

    def wrong(self, errors: Iterable[FieldError]) -> list[WrongCell]:
        """Say of what is wrong with the document which rows it is in."""
        return [wrong for error in errors for wrong in _wrong(self.rows[0], self.by_task, error)]

    def not_looked_at(self) -> WrongCell:
        """Say that so much was wrong before that nobody looked at it."""
        return too_much_wrong(self.rows[0].place, self.line)


class ReadRoutines(Struct, frozen=True, kw_only=True):
    """What was read, and what could not be."""

    rows: int
    routines: tuple[RoutineToImport, ...]
    wrong: tuple[WrongCell, ...]


def read_routines(raw: bytes, form: Form) -> ReadRoutines:
    """Read routines.

    :raises WrongRowsError: where there are none at all, or too many.
    """
    return _read_table(raw) if form == "csv" else _read_lines(raw)


def _read_lines(raw: bytes) -> ReadRoutines:
    read = read_ndjson(raw, RoutineOfLine, ROUTINES_LIMIT)
    wrong, routines = list(read.wrong), []
    for row in read.rows:
        line = row.content
        try:
            document = checked_document(line.document)
        except InvalidInputError as error:
            wrong += wrong_cells(error.errors, row.place, row.line, "/document")
            continue
        routines.append(
            RoutineToImport(
                student_key=line.student_key, key=line.key, document=document, rows=(row,), by_task=None
            )
        )
    return _read(len(read.rows), routines, wrong)


def _read_table(raw: bytes) -> ReadRoutines:
    read = read_csv(raw, TaskRow, TASK_ROWS_LIMIT, _cells)
    by_routine: dict[tuple[str, str], list[ReadRow[TaskRow]]] = {}
    for row in read.rows:
        by_routine.setdefault((row.content.student_key, row.content.routine_key), []).append(row)
    refuse_too_many(len(by_routine), ROUTINES_LIMIT, "routines")
    wrong, routines = list(read.wrong), []
    for (student_key, key), rows in by_routine.items():
        by_task, content = _content(rows)
        wrong += _wrong_instruments(rows)
        try:
            document = document_of(typed(content, RoutineContent))
        except InvalidInputError as error:
            wrong += [cell for each in error.errors for cell in _wrong(rows[0], by_task, each)]
            continue
        routines.append(
            RoutineToImport(
                student_key=student_key, key=key, document=document, rows=tuple(rows), by_task=by_task
            )
        )
    return _read(len(read.rows), routines, wrong)


def _read(rows: int, routines: Sequence[RoutineToImport], wrong: list[WrongCell]) -> ReadRoutines:
    lines: dict[tuple[str, str], int] = {}
    for routine in routines:
        line = lines.setdefault((routine.student_key, routine.key), routine.line)
        if line != routine.line:
            message = f"a routine of this key and student stands in line {line} already"
            wrong.append(routine.rows[0].wrong("key", message, "each routine once"))
    return ReadRoutines(rows=rows, routines=tuple(routines), wrong=tuple(wrong))


def _cells(cells: dict[str, str]) -> dict[str, Any]:
    return {name: plain_number(cell) if name in _NUMBERS else cell for name, cell in cells.items()}


def _content(rows: Sequence[ReadRow[TaskRow]]) -> tuple[dict[tuple[int, int], ReadRow[TaskRow]], Any]:
    """Put the rows of a routine together, and say where each went."""
    blocks: dict[str, list[dict[str, Any]]] = {}
    by_task = {}
    for row in rows:
        tasks = blocks.setdefault(row.content.block, [])
        by_task[list(blocks).index(row.content.block), len(tasks)] = row
        tasks.append(_task(row.content))
    content = {
        "instrument": rows[0].content.instrument,
        "routine": {"blocks": [{"title": title, "tasks": tasks} for title, tasks in blocks.items()]},
    }
    return by_task, content


def _task(row: TaskRow) -> dict[str, Any]:
    fields = {name: getattr(row, name) for name in row.__struct_fields__ if name not in _OF_THE_ROUTINE}
    fields["id"] = fields.pop("task")
    return fields


def _wrong_instruments(rows: Sequence[ReadRow[TaskRow]]) -> list[WrongCell]:
    first = rows[0].content.instrument
    accepted = (
        f"{first!r}, as the routine's first row has it" if first else "nothing, as in the routine's first row"
    )
    return [
        row.wrong("instrument", "another instrument than the routine's first row has", accepted)
        for row in rows
        if row.content.instrument != first
    ]


def _wrong(
    first: ReadRow[Any], by_task: dict[tuple[int, int], ReadRow[TaskRow]] | None, error: FieldError
) -> Iterable[WrongCell]:
    if by_task is None:
        return wrong_cells((error,), first.place, first.line, "/document")
    place = _PLACE.match(error.pointer)
    if place is None:
        field = "instrument" if error.pointer == "/instrument" else ""
        return (first.wrong(field, error.message, error.accepted),)
    row = by_task.get((int(place[1]), int(place[2] or 0)), first)
    field = {"id": "task", None: "block" if place[2] is None else ""}.get(place[3], place[3])
    known = field if field in TaskRow.__struct_fields__ else ""
    return (row.wrong(known, error.message, error.accepted),)
