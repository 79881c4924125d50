"""A row for every table, made from the tables themselves."""

from datetime import UTC, date, datetime
from typing import Any
from uuid import UUID, uuid4

from bagatelle_service.database.tables import Table
from sqlalchemy import (
    Boolean,
    Column,
    Connection,
    Date,
    Integer,
    LargeBinary,
    String,
    Uuid,
    func,
    insert,
    select,
    text,
)
from sqlalchemy import Table as CoreTable

_ALREADY_THERE = {"installation"}
"""The migration itself makes its row."""


def fill_every_table(connection: Connection) -> UUID:
    """Add one row to each table, every column filled, each reference to the row that is there; the school's id."""
    school_id = uuid4()
    rows: dict[str, dict[str, Any]] = {"school": {"id": school_id}}
    say_who_works(connection, school_id)
    for table in Table.metadata.sorted_tables:
        if table.name in _ALREADY_THERE:
            continue
        row = {column.name: _value(column) for column in table.columns} | rows.get(table.name, {})
        row |= _references(table, rows)
        connection.execute(insert(table).values(**row))
        rows[table.name] = row
    return school_id


def say_who_works(connection: Connection, school_id: UUID) -> None:
    """Say in a transaction of PostgreSQL whose rows are wanted, as the service does."""
    if connection.dialect.name == "postgresql":
        said = "SELECT set_config('app.school_id', :school, true), set_config('app.operator', 'yes', true)"
        connection.execute(text(said), {"school": str(school_id)})


def counts(connection: Connection, names: set[str]) -> dict[str, int]:
    """Count the rows of the tables of these names."""
    return {
        table.name: connection.execute(select(func.count()).select_from(table)).scalar_one()
        for table in Table.metadata.sorted_tables
        if table.name in names
    }


def _references(table: CoreTable, rows: dict[str, dict[str, Any]]) -> dict[str, Any]:
    """Take every column that refers to another table from the row that is there."""
    return {
        element.parent.name: rows[element.column.table.name][element.column.name]
        for constraint in table.foreign_key_constraints
        for element in constraint.elements
    }


def _value(column: Column[Any]) -> Any:
    kind = getattr(column.type, "impl", column.type)
    match kind:
        case Uuid():
            return uuid4()
        case Boolean():
            return True
        case Integer():
            return 1
        case Date():
            return date(2027, 3, 1)
        case LargeBinary():
            return uuid4().bytes * 2
        case String():
            return "x" * min(kind.length or 40, 16)
    return datetime(2027, 3, 1, 8, tzinfo=UTC)
