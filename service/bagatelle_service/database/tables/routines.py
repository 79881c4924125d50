"""Routines, every revision of them, and the tasks whose ids outlive revisions."""

from datetime import datetime
from uuid import UUID

from sqlalchemy import ForeignKeyConstraint, Index, String, Text, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from bagatelle_service.database.tables.base import SchoolBound, counted_by


class Routine(SchoolBound):
    """A student's normal day of practice; what it holds stands in its revisions."""

    __tablename__ = "routine"
    __table_args__ = (
        ForeignKeyConstraint(["school_id", "student_id"], ["student.school_id", "student.id"]),
        UniqueConstraint("school_id", "student_id", "key"),
        # A student has one copy of a routine. An index, as SQLite adds no constraint to a table that is there.
        Index(None, "school_id", "student_id", "origin_id", unique=True),
        Index(None, "school_id", "student_id", "created_at", "id"),
        Index(None, "school_id", "student_id", "archived_at"),
        Index(None, "school_id", "origin_id"),
    )

    id: Mapped[UUID] = mapped_column(primary_key=True)
    student_id: Mapped[UUID]
    key: Mapped[str | None] = mapped_column(String(64))
    revision: Mapped[int] = mapped_column()
    """The newest."""
    origin_id: Mapped[UUID | None]
    """The routine that this one is a copy of; that one may be gone."""
    origin_revision: Mapped[int | None]
    """The newest revision of the origin that the copy has taken over."""
    copied_revision: Mapped[int | None]
    """The revision of this routine that took it over."""
    created_at: Mapped[datetime]
    archived_at: Mapped[datetime | None]

    __mapper_args__ = counted_by(revision)


class RoutineRevision(SchoolBound):
    """A routine as it stood; never changed."""

    __tablename__ = "routine_revision"
    __table_args__ = (
        ForeignKeyConstraint(["school_id", "routine_id"], ["routine.school_id", "routine.id"]),
        # A routine's day in words is often a learner's own, so it goes with the student.
    )

    routine_id: Mapped[UUID] = mapped_column(primary_key=True)
    number: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    body: Mapped[str] = mapped_column(Text)
    """JSON, as `bagatelle_service.school.routine_document` writes it."""
    created_at: Mapped[datetime]


class StoredTask(SchoolBound):
    """A task of a routine: its id is never reused, so that what was logged stays with it."""

    __tablename__ = "task"
    __table_args__ = (
        ForeignKeyConstraint(["school_id", "routine_id"], ["routine.school_id", "routine.id"]),
        UniqueConstraint("school_id", "routine_id", "key"),
    )

    id: Mapped[UUID] = mapped_column(primary_key=True)
    routine_id: Mapped[UUID]
    key: Mapped[str] = mapped_column(String(64))
    """The client's own key; the same key in a later revision is the same task."""
    created_at: Mapped[datetime]
    removed_at: Mapped[datetime | None]
    """When a revision first came without it; a later one may bring it back."""
