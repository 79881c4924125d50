"""What is prepared for a student's days, and what was done on them."""

from datetime import date, datetime
from uuid import UUID

from sqlalchemy import ForeignKeyConstraint, Index, String, Text
from sqlalchemy.orm import Mapped, mapped_column

from bagatelle_service.database.tables.base import SchoolBound, counted_by

_ROUTINE_REVISION = ["routine_revision.school_id", "routine_revision.routine_id", "routine_revision.number"]


class CatalogueSnapshot(SchoolBound):
    """What the plugins said of the exercises that a plan was made from; it stays when a plugin changes or goes."""

    __tablename__ = "catalogue_snapshot"

    hash: Mapped[str] = mapped_column(String(64), primary_key=True)
    """SHA-256 of the body, in hexadecimal digits."""
    body: Mapped[str] = mapped_column(Text)
    created_at: Mapped[datetime]


class PreparedPlan(SchoolBound):
    """A short-day plan that is ready: the whole answer, worded, so that it can be read without any plugin."""

    __tablename__ = "prepared_plan"
    __table_args__ = (
        ForeignKeyConstraint(["school_id", "routine_id", "routine_revision"], _ROUTINE_REVISION),
        ForeignKeyConstraint(
            ["school_id", "catalogue_hash"], ["catalogue_snapshot.school_id", "catalogue_snapshot.hash"]
        ),
        Index(None, "school_id", "routine_id", "created_at", "id"),
        Index(None, "school_id", "catalogue_hash"),
    )

    id: Mapped[UUID] = mapped_column(primary_key=True)
    routine_id: Mapped[UUID]
    routine_revision: Mapped[int]
    catalogue_hash: Mapped[str] = mapped_column(String(64))
    kind: Mapped[str] = mapped_column(String(32))
    """What it is prepared for, such as `minutes-10`."""
    body: Mapped[str] = mapped_column(Text)
    revision: Mapped[int] = mapped_column()
    created_at: Mapped[datetime]
    archived_at: Mapped[datetime | None]

    __mapper_args__ = counted_by(revision)


class LogEntry(SchoolBound):
    """What was done of one task on one day. Units are kept by name, so those that a task has lost stay."""

    __tablename__ = "log_entry"
    __table_args__ = (
        ForeignKeyConstraint(["school_id", "student_id"], ["student.school_id", "student.id"]),
        ForeignKeyConstraint(["school_id", "task_id"], ["task.school_id", "task.id"]),
        ForeignKeyConstraint(["school_id", "routine_id", "routine_revision"], _ROUTINE_REVISION),
        Index(None, "school_id", "student_id", "day", "id"),
        Index(None, "school_id", "task_id", "day"),
        Index(None, "school_id", "routine_id", "routine_revision"),
    )

    id: Mapped[UUID] = mapped_column(primary_key=True)
    """Made by the client, so that an entry sent twice is one."""
    student_id: Mapped[UUID]
    task_id: Mapped[UUID | None]
    """None for free playing."""
    routine_id: Mapped[UUID | None]
    routine_revision: Mapped[int | None]
    exercise: Mapped[str | None] = mapped_column(String(128))
    exercise_version: Mapped[str | None] = mapped_column(String(128))
    """Version and hash of the plugin that the exercise was of."""
    units: Mapped[str] = mapped_column(Text)
    """A JSON array of unit ids: whole units only."""
    day: Mapped[date]
    """The student's own day."""
    kind: Mapped[str] = mapped_column(String(16))
    seconds: Mapped[int]
    done_when_met: Mapped[bool | None]
    revision: Mapped[int] = mapped_column()
    created_at: Mapped[datetime]
    removed_at: Mapped[datetime | None]

    __mapper_args__ = counted_by(revision)


class DaySheet(SchoolBound):
    """What one student does on one date, frozen with what it was made from."""

    __tablename__ = "day_sheet"
    __table_args__ = (
        ForeignKeyConstraint(["school_id", "student_id"], ["student.school_id", "student.id"]),
        ForeignKeyConstraint(["school_id", "plan_id"], ["prepared_plan.school_id", "prepared_plan.id"]),
        Index(None, "school_id", "plan_id"),
    )

    student_id: Mapped[UUID] = mapped_column(primary_key=True)
    day: Mapped[date] = mapped_column(primary_key=True)
    plan_id: Mapped[UUID | None]
    body: Mapped[str] = mapped_column(Text)
    revision: Mapped[int] = mapped_column()
    created_at: Mapped[datetime]

    __mapper_args__ = counted_by(revision)
