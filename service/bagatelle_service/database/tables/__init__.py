"""The tables, as SQLAlchemy sees them. The migrations make them; a test holds both together.

Every table of a school derives from `SchoolBound`: its key begins with the school's id, and what it refers to is
referred to with the school's id, so that the database itself refuses a row that points into another school.
"""

from bagatelle_service.database.tables.base import Installation, OfAMember, SchoolBound, Table, UtcDateTime
from bagatelle_service.database.tables.people import (
    Group,
    GroupStudent,
    GroupTeacher,
    Guardian,
    Identity,
    Staff,
    Student,
)
from bagatelle_service.database.tables.practice import (
    AnsweredOffer,
    CatalogueSnapshot,
    DaySheet,
    DaysOff,
    LogEntry,
    PreparedPlan,
    PreparedPlanRevision,
)
from bagatelle_service.database.tables.routines import Routine, RoutineRevision, StoredTask
from bagatelle_service.database.tables.schools import (
    Invitation,
    OperatorToken,
    School,
    SchoolCatalogue,
    Token,
)
from bagatelle_service.database.tables.traces import AuditEntry, Erasure, KeptAnswer, PermitWindow


def children_first() -> list[type[Table]]:
    """List all tables so that what refers to something comes before it."""
    models = {model.__tablename__: model for model in (mapper.class_ for mapper in Table.registry.mappers)}
    return [models[table.name] for table in reversed(Table.metadata.sorted_tables)]


__all__ = [
    "AnsweredOffer",
    "AuditEntry",
    "CatalogueSnapshot",
    "DaySheet",
    "DaysOff",
    "Erasure",
    "Group",
    "GroupStudent",
    "GroupTeacher",
    "Guardian",
    "Identity",
    "Installation",
    "Invitation",
    "KeptAnswer",
    "LogEntry",
    "OfAMember",
    "OperatorToken",
    "PermitWindow",
    "PreparedPlan",
    "PreparedPlanRevision",
    "Routine",
    "RoutineRevision",
    "School",
    "SchoolBound",
    "SchoolCatalogue",
    "Staff",
    "StoredTask",
    "Student",
    "Table",
    "Token",
    "UtcDateTime",
    "children_first",
]
