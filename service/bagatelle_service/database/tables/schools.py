"""Schools, and what lets somebody in: tokens and invitations."""

from datetime import datetime
from uuid import UUID

from sqlalchemy import Index, LargeBinary, String, Text
from sqlalchemy.orm import Mapped, mapped_column

from bagatelle_service.database.tables.base import (
    OfAMember,
    SchoolBound,
    Table,
    counted_by,
    refers_to_a_member,
)


class School(Table):
    """The owner of everything stored; a lone app or a private teacher is a school of one."""

    __tablename__ = "school"
    __table_args__ = (Index(None, "created_at", "id"),)

    id: Mapped[UUID] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(String(200))
    keeps_health_facts: Mapped[bool]
    """Whether soreness, limits of the body and the like may be stored."""
    retention_days: Mapped[int | None]
    """After so many days logs, day sheets and the trail go, and students who were archived; None: never."""
    revision: Mapped[int] = mapped_column()
    created_at: Mapped[datetime]
    archived_at: Mapped[datetime | None]

    __mapper_args__ = counted_by(revision)


class SchoolCatalogue(SchoolBound):
    """Exercises of a school's own, as a catalogue in TOML."""

    __tablename__ = "school_catalogue"

    instrument: Mapped[str] = mapped_column(String(64), primary_key=True)
    """Its id."""
    name: Mapped[str] = mapped_column(Text)
    version: Mapped[str] = mapped_column(String(40))
    exercise_count: Mapped[int]
    data_bytes: Mapped[int]
    """What it comes to once it is read."""
    sha256: Mapped[str] = mapped_column(String(64))
    """Of the text, in hexadecimal digits."""
    revision: Mapped[int] = mapped_column()
    changed_at: Mapped[datetime]
    toml: Mapped[str] = mapped_column(Text)
    """As it was sent. It stands last, as what is asked for most is what stands beside it."""

    __mapper_args__ = counted_by(revision)


class OperatorToken(Table):
    """A token of whoever runs the installation. It reaches schools, and nothing inside one."""

    __tablename__ = "operator_token"

    id: Mapped[UUID] = mapped_column(primary_key=True)
    hash: Mapped[bytes] = mapped_column(LargeBinary(32), unique=True)
    created_at: Mapped[datetime]
    expires_at: Mapped[datetime | None]
    revoked_at: Mapped[datetime | None]
    last_used_at: Mapped[datetime | None]


class Token(OfAMember):
    """What a program shows to be let in. The secret itself is shown once and not stored."""

    __tablename__ = "token"
    __table_args__ = (
        *refers_to_a_member(),
        Index(None, "school_id", "created_at", "id"),
    )

    id: Mapped[UUID] = mapped_column(primary_key=True)
    hash: Mapped[bytes] = mapped_column(LargeBinary(32), unique=True)
    role: Mapped[str] = mapped_column(String(16))
    label: Mapped[str | None] = mapped_column(String(100))
    scopes: Mapped[str] = mapped_column(Text)
    """Names with a space between."""
    pseudonym: Mapped[UUID]
    """How the trail names an app; a member's own pseudonym otherwise."""
    created_at: Mapped[datetime]
    expires_at: Mapped[datetime | None]
    revoked_at: Mapped[datetime | None]
    last_used_at: Mapped[datetime | None]


class Invitation(OfAMember):
    """A single-use code that becomes a token of one member."""

    __tablename__ = "invitation"
    __table_args__ = (
        *refers_to_a_member(),
        Index(None, "school_id", "created_at", "id"),
        Index(None, "school_id", "used_at"),
        Index(None, "school_id", "revoked_at"),
        Index(None, "school_id", "expires_at"),
    )

    id: Mapped[UUID] = mapped_column(primary_key=True)
    hash: Mapped[bytes] = mapped_column(LargeBinary(32), unique=True)
    created_at: Mapped[datetime]
    expires_at: Mapped[datetime]
    revoked_at: Mapped[datetime | None]
    used_at: Mapped[datetime | None]
