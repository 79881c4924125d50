"""A database with many students, each a copy of one who was made through the API, with a year of logs.

Rows are written straight into SQLite, with nothing synchronised: how the database is made is not what is measured.
"""

import json
import sqlite3
from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path
from random import Random
from time import monotonic
from typing import Any, Final, NamedTuple
from uuid import UUID

from bagatelle_service.database.tables import Table
from sqlalchemy import insert, select
from sqlalchemy.dialects import sqlite

from tests.seeded import seeded

ENTRIES_EACH: Final = 300
ENTRIES_A_DAY: Final = 3
COPIED: Final = ("student", "routine", "routine_revision", "task", "prepared_plan", "prepared_plan_revision")
"""What one student has, those first that others refer to."""
_LOG_INDEXES: Final = (
    "SELECT name, sql FROM sqlite_master WHERE type = 'index' AND tbl_name = 'log_entry' AND sql NOT NULL"
)


class Filled(NamedTuple):
    """What a database holds."""

    students: tuple[str, ...]
    """The ids of some of them, for whoever measures."""
    number: int
    entries: int
    seconds: float
    bytes: int


class _Template(NamedTuple):
    """The rows of the one student, by table, with the names of the columns."""

    columns: dict[str, list[str]]
    rows: dict[str, list[tuple[Any, ...]]]
    ids: tuple[str, ...]
    """All that are the student's own, and so get new ones in a copy."""
    school_id: str
    student_id: str
    routine_id: str
    routine_revision: int
    tasks: tuple[tuple[str, tuple[str, ...]], ...]
    """Ids of the tasks, with their units."""


def fill(
    file: Path, students: int, last_day: date, units: dict[str, tuple[str, ...]], most_seconds: float
) -> Filled:
    """Copy the one student of a database until there are so many, or until the time is up.

    :param units: of each task, by its key.
    """
    began = monotonic()
    connection = sqlite3.connect(file, isolation_level=None)
    for pragma in ("journal_mode = OFF", "synchronous = OFF", "cache_size = -2000000", "temp_store = MEMORY"):
        connection.execute(f"PRAGMA {pragma}")
    indexes = connection.execute(_LOG_INDEXES).fetchall()
    for name, _ in indexes:
        connection.execute(f'DROP INDEX "{name}"')
    template = _template(connection, units)
    draw = seeded("many students")
    made: list[str] = []
    connection.execute("BEGIN")
    while len(made) < students and monotonic() - began < most_seconds:
        made.append(_copy(connection, template, draw, len(made), last_day))
    connection.execute("COMMIT")
    for _, statement in indexes:
        connection.execute(statement)
    connection.execute("ANALYZE")
    connection.execute("PRAGMA journal_mode = WAL")
    connection.close()
    step = max(1, len(made) // 200)
    return Filled(
        students=tuple(str(UUID(each)) for each in made[::step]),
        number=len(made),
        entries=len(made) * ENTRIES_EACH,
        seconds=monotonic() - began,
        bytes=file.stat().st_size,
    )


def _template(connection: sqlite3.Connection, units: dict[str, tuple[str, ...]]) -> _Template:
    columns, rows = {}, {}
    for table in COPIED:
        cursor = connection.execute(str(select(Table.metadata.tables[table])))
        columns[table] = [column[0] for column in cursor.description]
        rows[table] = cursor.fetchall()

    def values(table: str, column: str) -> list[Any]:
        return [row[columns[table].index(column)] for row in rows[table]]

    keys = dict(zip(values("task", "key"), values("task", "id"), strict=True))
    ids = [
        value for table in ("student", "routine", "task", "prepared_plan") for value in values(table, "id")
    ]
    return _Template(
        columns=columns,
        rows=rows,
        ids=(*ids, *values("student", "pseudonym")),
        school_id=values("student", "school_id")[0],
        student_id=values("student", "id")[0],
        routine_id=values("routine", "id")[0],
        routine_revision=values("routine", "revision")[0],
        tasks=tuple((keys[key], names) for key, names in units.items()),
    )


def _copy(
    connection: sqlite3.Connection, template: _Template, draw: Random, number: int, last_day: date
) -> str:
    new = {old: f"{draw.getrandbits(128):032x}" for old in template.ids}
    for table in COPIED:
        key = template.columns[table].index("key") if table in ("student", "routine") else -1
        statement = insert(Table.metadata.tables[table]).compile(dialect=sqlite.dialect())
        connection.executemany(
            str(statement),
            (
                tuple(
                    f"copy-{number}"
                    if place == key
                    else new.get(value, value)
                    if isinstance(value, str)
                    else value
                    for place, value in enumerate(row)
                )
                for row in template.rows[table]
            ),
        )
    connection.executemany(
        "INSERT INTO log_entry (school_id, id, student_id, task_id, routine_id, routine_revision, units, area, "
        "day, kind, seconds, revision, created_at) "
        "VALUES (?, ?, ?, ?, ?, ?, ?, 'technique', ?, 'short', 240, 1, ?)",
        _entries(template, new, draw, number, last_day),
    )
    return new[template.student_id]


def _entries(
    template: _Template, new: dict[str, str], draw: Random, number: int, last_day: date
) -> Iterator[tuple[Any, ...]]:
    student, routine = new[template.student_id], new[template.routine_id]
    for place in range(ENTRIES_EACH):
        day = (last_day - timedelta(days=1 + place // ENTRIES_A_DAY)).isoformat()
        task, units = template.tasks[(place + place // ENTRIES_A_DAY) % len(template.tasks)]
        # Ascending, as those of clients that number by time are.
        entry = f"{number:012x}{place:04x}{draw.getrandbits(64):016x}"
        done = json.dumps([units[place % len(units)]])
        yield (
            template.school_id,
            entry,
            student,
            new[task],
            routine,
            template.routine_revision,
            done,
            day,
            f"{day} 18:00:00.000000",
        )
