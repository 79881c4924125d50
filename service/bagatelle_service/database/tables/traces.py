"""What the service keeps of its own doings."""

from datetime import datetime
from uuid import UUID

from sqlalchemy import ForeignKeyConstraint, Index, LargeBinary, String
from sqlalchemy.orm import Mapped, mapped_column

from bagatelle_service.database.tables.base import SchoolBound, Table


class AuditEntry(SchoolBound):
    """Who read or changed what, by pseudonyms alone."""

    __tablename__ = "audit_entry"
    __table_args__ = (
        Index(None, "school_id", "created_at", "id"),
        Index(None, "school_id", "subject", "created_at", "id"),
        Index(None, "school_id", "actor", "created_at", "id"),
        Index(None, "school_id", "operation", "created_at", "id"),
    )

    id: Mapped[UUID] = mapped_column(primary_key=True)
    actor: Mapped[UUID]
    """The pseudonym of who did it."""
    actor_role: Mapped[str] = mapped_column(String(16))
    operation: Mapped[str] = mapped_column(String(64))
    """The operation's id in the contract."""
    subject: Mapped[UUID | None]
    """The pseudonym of the student whom it was about; None where it was about no one student."""
    created_at: Mapped[datetime]


class Erasure(SchoolBound):
    """One line of the erasure ledger. A hash of the student's id: enough to find the student in an old backup."""

    __tablename__ = "erasure"
    __table_args__ = (Index(None, "school_id", "created_at", "id"),)

    id: Mapped[UUID] = mapped_column(primary_key=True)
    student_hash: Mapped[bytes] = mapped_column(LargeBinary(32), unique=True)
    created_at: Mapped[datetime]


class KeptAnswer(SchoolBound):
    """The answer to a POST that came with an Idempotency-Key, kept for a day.

    The body is encrypted under the caller's secret, which is not stored: it may hold names, or a token that is
    shown once.
    """

    __tablename__ = "kept_answer"
    __table_args__ = (
        ForeignKeyConstraint(["school_id", "student_id"], ["student.school_id", "student.id"]),
        Index(None, "school_id", "student_id"),
        Index(None, "created_at"),
    )

    key_hash: Mapped[bytes] = mapped_column(LargeBinary(32), primary_key=True)
    """SHA-256 of who asked and the key."""
    request_hash: Mapped[bytes] = mapped_column(LargeBinary(32))
    student_id: Mapped[UUID | None]
    """The one student whom it is about."""
    about_many: Mapped[bool]
    """Whether it may be about several students."""
    body: Mapped[bytes | None]
    """None where it was erased."""
    created_at: Mapped[datetime]


class PermitWindow(Table):
    """How many requests of one minute a token was granted, by all processes together."""

    __tablename__ = "permit_window"

    token_id: Mapped[UUID] = mapped_column(primary_key=True)
    minute: Mapped[datetime] = mapped_column(primary_key=True)
    granted: Mapped[int]
