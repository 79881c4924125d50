"""Every filter of every list has an index that begins with the school and what is filtered by."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

from bagatelle import Instruments
from bagatelle_service.api.document import operations
from bagatelle_service.api.school.parameters import PageQuery
from bagatelle_service.app import create_app
from bagatelle_service.database.migrating import upgrade
from bagatelle_service.database.tables import Table
from bagatelle_service.settings import Settings
from msgspec.structs import fields
from sqlalchemy import Connection, Select, bindparam, inspect, literal_column, select
from sqlalchemy.ext.asyncio import AsyncEngine

from tests.integration.databases import sqlite_url
from tests.integration.test_migrations import on_database

PLACE = ""
"""Stands for the list itself, without a filter: pages go by time and id."""
IN_ORDER = ("created_at", "id")
WANTED: dict[tuple[str, str], tuple[str, tuple[str, ...]]] = {
    ("list_schools", PLACE): ("school", IN_ORDER),
    ("list_tokens", PLACE): ("token", ("school_id", *IN_ORDER)),
    ("list_students", PLACE): ("student", ("school_id", *IN_ORDER)),
    ("list_students", "key"): ("student", ("school_id", "key")),
    ("list_students", "archived"): ("student", ("school_id", "archived_at")),
    ("list_students", "group"): ("group_student", ("school_id", "group_id")),
    ("list_groups", PLACE): ("student_group", ("school_id", *IN_ORDER)),
    ("list_groups", "student"): ("group_student", ("school_id", "student_id")),
    ("list_groups", "teacher"): ("group_teacher", ("school_id", "staff_id")),
    ("list_groups", "archived"): ("student_group", ("school_id", "archived_at")),
    ("list_routines", PLACE): ("routine", ("school_id", "student_id", *IN_ORDER)),
    ("list_routines", "key"): ("routine", ("school_id", "student_id", "key")),
    ("list_routines", "archived"): ("routine", ("school_id", "student_id", "archived_at")),
    ("list_staff", PLACE): ("staff", ("school_id", *IN_ORDER)),
    ("list_staff", "role"): ("staff", ("school_id", "role")),
    ("list_staff", "archived"): ("staff", ("school_id", "archived_at")),
    ("list_guardians", PLACE): ("guardian", ("school_id", "student_id")),
    ("list_invitations", PLACE): ("invitation", ("school_id", *IN_ORDER)),
    ("list_invitations", "staff"): ("invitation", ("school_id", "staff_id")),
    ("list_invitations", "student"): ("invitation", ("school_id", "student_id")),
    ("list_invitations", "guardian"): ("invitation", ("school_id", "guardian_id")),
    ("list_invitations", "state"): ("invitation", ("school_id", "used_at")),
    ("list_erasures", PLACE): ("erasure", ("school_id", *IN_ORDER)),
    ("list_trail", PLACE): ("audit_entry", ("school_id", *IN_ORDER)),
    ("list_trail", "after"): ("audit_entry", ("school_id", "created_at")),
    ("list_trail", "before"): ("audit_entry", ("school_id", "created_at")),
    ("list_trail", "actor"): ("audit_entry", ("school_id", "actor")),
    ("list_trail", "staff"): ("audit_entry", ("school_id", "actor")),
    ("list_trail", "subject"): ("audit_entry", ("school_id", "subject")),
    ("list_trail", "student"): ("audit_entry", ("school_id", "subject")),
    ("list_trail", "operation"): ("audit_entry", ("school_id", "operation")),
    ("list_plan_revisions", PLACE): ("prepared_plan_revision", ("school_id", "plan_id", "number")),
    ("list_days", PLACE): ("day_sheet", ("school_id", "student_id", "day")),
    ("list_days", "first"): ("day_sheet", ("school_id", "student_id", "day")),
    ("list_days", "last"): ("day_sheet", ("school_id", "student_id", "day")),
    ("list_routine_revisions", PLACE): ("routine_revision", ("school_id", "routine_id", "number")),
    ("list_assignments", PLACE): ("routine", ("school_id", "origin_id")),
    ("list_logs", PLACE): ("log_entry", ("school_id", "student_id", "day", "id")),
    ("list_logs", "first"): ("log_entry", ("school_id", "student_id", "day")),
    ("list_logs", "last"): ("log_entry", ("school_id", "student_id", "day")),
    ("list_logs", "task"): ("log_entry", ("school_id", "task_id", "day")),
    # One student's days are few enough to be looked through for the three kinds.
    ("list_logs", "kind"): ("log_entry", ("school_id", "student_id", "day")),
}
"""By operation and filter: the table, and the columns that a query narrows by."""


def filters_of_lists() -> Iterator[tuple[str, str]]:
    app = create_app(Settings(database_url="sqlite://"), Instruments.none())
    for _, _, operation in operations(app.litestar.routes):
        if operation.query is not None and issubclass(operation.query, PageQuery):
            yield operation.operation_id, PLACE
            of_pages = {field.name for field in fields(PageQuery)}
            for field in fields(operation.query):
                if field.name not in of_pages:
                    yield operation.operation_id, field.name


def indexes(connection: Connection) -> dict[str, list[tuple[str, ...]]]:
    """List the columns of every index, those of keys and unique constraints among them."""
    inspector = inspect(connection)
    found: dict[str, list[tuple[str, ...]]] = {}
    for table in inspector.get_table_names():
        listed: list[Any] = [*inspector.get_indexes(table), *inspector.get_unique_constraints(table)]
        columns = [tuple(each["column_names"]) for each in listed]
        found[table] = [*columns, tuple(inspector.get_pk_constraint(table)["constrained_columns"])]
    return found


def test_every_filter_of_every_list_is_accounted_for() -> None:
    assert set(filters_of_lists()) == set(WANTED)


def test_every_filter_has_an_index(any_database_url: str) -> None:
    async def work(engine: AsyncEngine) -> dict[str, list[tuple[str, ...]]]:
        await upgrade(engine)
        async with engine.connect() as connection:
            return await connection.run_sync(indexes)

    there = on_database(any_database_url, work)
    lacking = {
        place: wanted
        for place, (table, wanted) in WANTED.items()
        if not any(columns[: len(wanted)] == wanted for columns in there[table])
    }
    assert lacking == {}


def found_by(connection: Connection, table: str, columns: tuple[str, ...]) -> str:
    """Ask SQLite how it would find the rows of one value of each column."""
    rows = Table.metadata.tables[table]
    query: Select[Any] = (
        select(literal_column("1"))
        .select_from(rows)
        .where(*(rows.c[column] == bindparam(column) for column in columns))
    )
    asked = f"EXPLAIN QUERY PLAN {query.compile(connection)}"
    (line,) = connection.exec_driver_sql(asked, ("x",) * len(columns)).all()
    return str(line[-1])


def test_the_planner_of_sqlite_uses_it(tmp_path: Path) -> None:
    """PostgreSQL's goes by what a table holds, so an empty one says nothing of it."""

    async def work(engine: AsyncEngine) -> dict[tuple[str, str], str]:
        await upgrade(engine)
        async with engine.connect() as connection:
            return {
                place: await connection.run_sync(found_by, table, columns)
                for place, (table, columns) in WANTED.items()
                if place[1] != PLACE
            }

    plans = on_database(sqlite_url(tmp_path), work)
    lacking = {
        place: plan
        for place, plan in plans.items()
        if not all(f"{column}=?" in plan for column in WANTED[place][1])
    }
    assert lacking == {}
