"""A row of each school-bound table, made from what the tables say of themselves, so that none is left out."""

import secrets
from datetime import UTC, date, datetime
from typing import Any
from uuid import UUID, uuid4

from bagatelle_service.database.tables import SchoolBound, Table, UtcDateTime
from sqlalchemy import Column, Uuid
from sqlalchemy.sql.type_api import TypeEngine

MOMENT = datetime(2027, 3, 1, 8, tzinfo=UTC)


def school_bound() -> list[type[SchoolBound]]:
    """Every class of a school's rows, those that others refer to first."""
    found = {
        mapper.class_.__tablename__: mapper.class_
        for mapper in Table.registry.mappers
        if issubclass(mapper.class_, SchoolBound)
    }
    return [found[table.name] for table in Table.metadata.sorted_tables if table.name in found]


def values_of_each_table(school_id: UUID) -> dict[type[SchoolBound], dict[str, Any]]:
    """Give one row of each table; what one refers to is the school's own row of the other."""
    rows: dict[str, dict[str, Any]] = {"school": {"id": school_id}}
    made = {}
    for kind in school_bound():
        table = Table.metadata.tables[kind.__tablename__]
        row: dict[str, Any] = {}
        for column in table.columns:
            target = next(iter(column.foreign_keys), None)
            row[column.name] = (
                _value(column) if target is None else rows[target.column.table.name][target.column.name]
            )
        rows[table.name] = made[kind] = row
    return made


def _value(column: "Column[Any]") -> Any:
    kind: TypeEngine[Any] = column.type
    if isinstance(kind, Uuid):
        return uuid4()
    if isinstance(kind, UtcDateTime):
        return MOMENT
    match kind.python_type:
        case python if python is str:
            return secrets.token_hex(8)[: getattr(kind, "length", None)]
        case python if python is bytes:
            return secrets.token_bytes(32)
        case python if python is date:
            return MOMENT.date()
        case python if python is bool:
            return False
        case python if python is int:
            return 1
    raise TypeError(f"no value is known for {column}")
