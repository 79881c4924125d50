"""The people of a school and their groups. Of each, the least that lets the school know whom it means."""

from datetime import datetime
from uuid import UUID

from sqlalchemy import ForeignKeyConstraint, Index, LargeBinary, String, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from bagatelle_service.database.tables.base import OfAMember, SchoolBound, counted_by, refers_to_a_member


class Staff(SchoolBound):
    """An owner or a teacher."""

    __tablename__ = "staff"
    __table_args__ = (
        Index(None, "school_id", "created_at", "id"),
        Index(None, "school_id", "role"),
        Index(None, "school_id", "archived_at"),
    )

    id: Mapped[UUID] = mapped_column(primary_key=True)
    role: Mapped[str] = mapped_column(String(16))
    display_name: Mapped[str] = mapped_column(String(100))
    pseudonym: Mapped[UUID]
    """How the trail names the person; nothing leads back from it once the row is gone."""
    revision: Mapped[int] = mapped_column()
    created_at: Mapped[datetime]
    archived_at: Mapped[datetime | None]

    __mapper_args__ = counted_by(revision)


class Student(SchoolBound):
    """Somebody who practises: often a child."""

    __tablename__ = "student"
    __table_args__ = (
        UniqueConstraint("school_id", "key"),
        Index(None, "school_id", "created_at", "id"),
        Index(None, "school_id", "archived_at"),
    )

    id: Mapped[UUID] = mapped_column(primary_key=True)
    key: Mapped[str | None] = mapped_column(String(64))
    """The client's own key."""
    display_name: Mapped[str] = mapped_column(String(100))
    """May be a pseudonym."""
    time_zone: Mapped[str] = mapped_column(String(64))
    pseudonym: Mapped[UUID]
    revision: Mapped[int] = mapped_column()
    created_at: Mapped[datetime]
    archived_at: Mapped[datetime | None]

    __mapper_args__ = counted_by(revision)


class Guardian(SchoolBound):
    """The link by which a grown-up reads one student."""

    __tablename__ = "guardian"
    __table_args__ = (
        ForeignKeyConstraint(["school_id", "student_id"], ["student.school_id", "student.id"]),
        Index(None, "school_id", "student_id"),
        Index(None, "school_id", "created_at", "id"),
    )

    id: Mapped[UUID] = mapped_column(primary_key=True)
    student_id: Mapped[UUID]
    display_name: Mapped[str | None] = mapped_column(String(100))
    pseudonym: Mapped[UUID]
    created_at: Mapped[datetime]


class Identity(OfAMember):
    """Ties the subject of an outside issuer of tokens (OIDC) to a member."""

    __tablename__ = "identity"
    __table_args__ = refers_to_a_member()

    id: Mapped[UUID] = mapped_column(primary_key=True)
    hash: Mapped[bytes] = mapped_column(LargeBinary(32), unique=True)
    """SHA-256 of issuer and subject: who the subject is need not be stored."""
    created_at: Mapped[datetime]


class Group(SchoolBound):
    """Students who are taught together, and who teaches them."""

    __tablename__ = "student_group"
    __table_args__ = (
        Index(None, "school_id", "created_at", "id"),
        Index(None, "school_id", "archived_at"),
    )

    id: Mapped[UUID] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(String(100))
    revision: Mapped[int] = mapped_column()
    created_at: Mapped[datetime]
    archived_at: Mapped[datetime | None]

    __mapper_args__ = counted_by(revision)


class GroupTeacher(SchoolBound):
    """A teacher of a group."""

    __tablename__ = "group_teacher"
    __table_args__ = (
        ForeignKeyConstraint(["school_id", "group_id"], ["student_group.school_id", "student_group.id"]),
        ForeignKeyConstraint(["school_id", "staff_id"], ["staff.school_id", "staff.id"]),
        Index(None, "school_id", "staff_id"),
    )

    group_id: Mapped[UUID] = mapped_column(primary_key=True)
    staff_id: Mapped[UUID] = mapped_column(primary_key=True)


class GroupStudent(SchoolBound):
    """A student of a group."""

    __tablename__ = "group_student"
    __table_args__ = (
        ForeignKeyConstraint(["school_id", "group_id"], ["student_group.school_id", "student_group.id"]),
        ForeignKeyConstraint(["school_id", "student_id"], ["student.school_id", "student.id"]),
        Index(None, "school_id", "student_id"),
    )

    group_id: Mapped[UUID] = mapped_column(primary_key=True)
    student_id: Mapped[UUID] = mapped_column(primary_key=True)
