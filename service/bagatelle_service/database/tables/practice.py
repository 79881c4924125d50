"""What is prepared for a student's days, and what was done on them."""

from datetime import date, datetime
from uuid import UUID

from sqlalchemy import ForeignKeyConstraint, Index, LargeBinary, String, Text, UniqueConstraint
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
    """What one kind of hard day is made from, for one routine; what it holds stands in its revisions."""

    __tablename__ = "prepared_plan"
    __table_args__ = (
        ForeignKeyConstraint(["school_id", "student_id"], ["student.school_id", "student.id"]),
        ForeignKeyConstraint(["school_id", "routine_id"], ["routine.school_id", "routine.id"]),
        UniqueConstraint("school_id", "routine_id", "kind"),
        Index(None, "school_id", "routine_id", "created_at", "id"),
        Index(None, "school_id", "student_id", "created_at", "id"),
    )

    id: Mapped[UUID] = mapped_column(primary_key=True)
    student_id: Mapped[UUID]
    routine_id: Mapped[UUID]
    kind: Mapped[str] = mapped_column(String(32))
    """What it is prepared for, such as `low-energy`."""
    revision: Mapped[int] = mapped_column()
    """The newest."""
    created_at: Mapped[datetime]
    archived_at: Mapped[datetime | None]

    __mapper_args__ = counted_by(revision)


class PreparedPlanRevision(SchoolBound):
    """A prepared plan as it stood; never changed. It is in words, so that it can be read without any plugin."""

    __tablename__ = "prepared_plan_revision"
    __table_args__ = (
        ForeignKeyConstraint(["school_id", "plan_id"], ["prepared_plan.school_id", "prepared_plan.id"]),
        ForeignKeyConstraint(["school_id", "routine_id", "routine_revision"], _ROUTINE_REVISION),
        ForeignKeyConstraint(
            ["school_id", "catalogue_hash"], ["catalogue_snapshot.school_id", "catalogue_snapshot.hash"]
        ),
        Index(None, "school_id", "routine_id", "routine_revision"),
        Index(None, "school_id", "catalogue_hash"),
    )

    plan_id: Mapped[UUID] = mapped_column(primary_key=True)
    number: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    routine_id: Mapped[UUID]
    routine_revision: Mapped[int]
    catalogue_hash: Mapped[str] = mapped_column(String(64))
    made_with: Mapped[str] = mapped_column(Text)
    """Versions of engine, policy and plugins, as JSON: what newer ones are compared with."""
    choices: Mapped[str] = mapped_column(Text)
    """What somebody chose for this plan beside its routine, as JSON."""
    created_at: Mapped[datetime]
    body: Mapped[bytes] = mapped_column(LargeBinary)
    """The card, as compressed JSON, written by `bagatelle_service.school.card_bodies`. It stands last, so that
    SQLite need not read it to find what stands beside it."""


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
    area: Mapped[str | None] = mapped_column(String(16))
    """Of the task, as the routine had it that day."""
    step: Mapped[str | None] = mapped_column(String(96))
    """Of the day's sheet, where it was a step of one."""
    day: Mapped[date]
    """The student's own day."""
    kind: Mapped[str] = mapped_column(String(16))
    seconds: Mapped[int]
    done_when_met: Mapped[bool | None]
    fingerprint: Mapped[bytes | None] = mapped_column(LargeBinary(16))
    """Of what the client sent, so that it is known when it comes again; none of what was removed."""
    revision: Mapped[int] = mapped_column()
    created_at: Mapped[datetime]
    removed_at: Mapped[datetime | None]

    __mapper_args__ = counted_by(revision)


class DaySheet(SchoolBound):
    """What one student does on one date, frozen with what it was made from."""

    __tablename__ = "day_sheet"
    __table_args__ = (
        ForeignKeyConstraint(["school_id", "student_id"], ["student.school_id", "student.id"]),
        ForeignKeyConstraint(
            ["school_id", "plan_id", "plan_revision"],
            [
                "prepared_plan_revision.school_id",
                "prepared_plan_revision.plan_id",
                "prepared_plan_revision.number",
            ],
        ),
        Index(None, "school_id", "plan_id", "plan_revision"),
    )

    student_id: Mapped[UUID] = mapped_column(primary_key=True)
    day: Mapped[date] = mapped_column(primary_key=True)
    plan_id: Mapped[UUID]
    plan_revision: Mapped[int]
    made_from: Mapped[str] = mapped_column(Text)
    """All else that the sheet was made from, as JSON: so it can be made again, whatever was logged since."""
    body: Mapped[str] = mapped_column(Text)
    revision: Mapped[int] = mapped_column()
    created_at: Mapped[datetime]

    __mapper_args__ = counted_by(revision)


class DaysOff(SchoolBound):
    """The days on which a student does not mean to practise."""

    __tablename__ = "days_off"
    __table_args__ = (ForeignKeyConstraint(["school_id", "student_id"], ["student.school_id", "student.id"]),)

    student_id: Mapped[UUID] = mapped_column(primary_key=True)
    body: Mapped[str] = mapped_column(Text)
    """JSON, as `bagatelle_service.school.days_off` writes it."""
    revision: Mapped[int] = mapped_column()
    created_at: Mapped[datetime]

    __mapper_args__ = counted_by(revision)


class AnsweredOffer(SchoolBound):
    """A small change that was offered to a student, and was taken or put aside for good."""

    __tablename__ = "answered_offer"
    __table_args__ = (ForeignKeyConstraint(["school_id", "student_id"], ["student.school_id", "student.id"]),)

    student_id: Mapped[UUID] = mapped_column(primary_key=True)
    key: Mapped[str] = mapped_column(String(160), primary_key=True)
    """Which offer, as `bagatelle.progress` names it."""
    answer: Mapped[str] = mapped_column(String(16))
    created_at: Mapped[datetime]
