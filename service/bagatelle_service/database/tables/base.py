"""What all tables share, and the one row that names the installation."""

from datetime import UTC, datetime
from typing import Any, ClassVar
from uuid import UUID

from sqlalchemy import (
    CheckConstraint,
    DateTime,
    Dialect,
    ForeignKey,
    ForeignKeyConstraint,
    Index,
    MetaData,
    SmallInteger,
    TypeDecorator,
    Uuid,
)
from sqlalchemy.orm import DeclarativeBase, Mapped, mapped_column


class UtcDateTime(TypeDecorator[datetime]):
    """A moment, always aware and in UTC: SQLite would forget the zone."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, _dialect: Dialect) -> datetime | None:
        """Take a moment to the database.

        :raises ValueError: where it names no zone.
        """
        if value is not None and value.tzinfo is None:
            raise ValueError("a moment without a zone cannot be stored")
        return None if value is None else value.astimezone(UTC)

    def process_result_value(self, value: datetime | None, _dialect: Dialect) -> datetime | None:
        """Take a moment from the database."""
        if value is None:
            return None
        return value.replace(tzinfo=UTC) if value.tzinfo is None else value.astimezone(UTC)


class Table(DeclarativeBase):
    """The base of every table. Constraints have predictable names, so that migrations can change them."""

    metadata = MetaData(
        naming_convention={
            "ix": "ix_%(table_name)s_%(column_0_N_name)s",
            "uq": "uq_%(table_name)s_%(column_0_N_name)s",
            "ck": "ck_%(table_name)s_%(constraint_name)s",
            "fk": "fk_%(table_name)s_%(column_0_N_name)s",
            "pk": "pk_%(table_name)s",
        }
    )
    type_annotation_map: ClassVar[dict[Any, Any]] = {datetime: UtcDateTime(), UUID: Uuid()}


def counted_by(revision: Any) -> dict[str, Any]:
    """Have each change of a row name the revision that it was made from: the second of two at once finds none."""
    return {"version_id_col": revision, "version_id_generator": False}


class SchoolBound(Table):
    """A row of one school, and of no other."""

    __abstract__ = True

    school_id: Mapped[UUID] = mapped_column(ForeignKey("school.id"), primary_key=True, sort_order=-1)


class OfAMember(SchoolBound):
    """A row of one member at most: of the staff, a student, or a guardian."""

    __abstract__ = True

    staff_id: Mapped[UUID | None]
    student_id: Mapped[UUID | None]
    guardian_id: Mapped[UUID | None]


def refers_to_a_member() -> tuple[ForeignKeyConstraint | Index, ...]:
    """Make what a table of `OfAMember` needs: each reference with the school's id, and an index for it."""
    tables = {"staff_id": "staff", "student_id": "student", "guardian_id": "guardian"}
    references = (
        ForeignKeyConstraint(["school_id", column], [f"{table}.school_id", f"{table}.id"])
        for column, table in tables.items()
    )
    return (*references, *(Index(None, "school_id", column) for column in tables))


class Installation(Table):
    """The one row that says whose database this is, so that a wrong URL is noticed."""

    __tablename__ = "installation"
    __table_args__ = (CheckConstraint("only_row = 1", name="only_row"),)

    only_row: Mapped[int] = mapped_column(SmallInteger, primary_key=True, autoincrement=False)
    id: Mapped[UUID]
    created_at: Mapped[datetime] = mapped_column(DateTime(timezone=True))
