"""Make the schools, their people, and what lets somebody in.

Revision ID: 0002
Revises: 0001
"""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"


def upgrade() -> None:
    _school()
    _operator_token()
    _staff()
    _student()
    _guardian()
    _student_group()
    _group_teacher()
    _group_student()
    _identity()
    _token()
    _invitation()


def downgrade() -> None:
    for table in (
        "invitation",
        "token",
        "identity",
        "group_student",
        "group_teacher",
        "student_group",
        "guardian",
        "student",
        "staff",
        "operator_token",
        "school",
    ):
        op.drop_table(table)


def _school() -> None:
    op.create_table(
        "school",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("name", sa.String(length=200), nullable=False),
        sa.Column("keeps_health_facts", sa.Boolean(), nullable=False),
        sa.Column("retention_days", sa.Integer(), nullable=True),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("archived_at", sa.DateTime(timezone=True), nullable=True),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_school")),
    )
    op.create_index(op.f("ix_school_created_at_id"), "school", ["created_at", "id"], unique=False)


def _operator_token() -> None:
    op.create_table(
        "operator_token",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("hash", sa.LargeBinary(length=32), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("expires_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("revoked_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("last_used_at", sa.DateTime(timezone=True), nullable=True),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_operator_token")),
        sa.UniqueConstraint("hash", name=op.f("uq_operator_token_hash")),
    )


def _staff() -> None:
    op.create_table(
        "staff",
        sa.Column("school_id", sa.Uuid(), nullable=False),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("role", sa.String(length=16), nullable=False),
        sa.Column("display_name", sa.String(length=100), nullable=False),
        sa.Column("pseudonym", sa.Uuid(), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("archived_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(["school_id"], ["school.id"], name=op.f("fk_staff_school_id")),
        sa.PrimaryKeyConstraint("school_id", "id", name=op.f("pk_staff")),
    )
    op.create_index(
        op.f("ix_staff_school_id_created_at_id"), "staff", ["school_id", "created_at", "id"], unique=False
    )
    op.create_index(op.f("ix_staff_school_id_role"), "staff", ["school_id", "role"], unique=False)
    op.create_index(
        op.f("ix_staff_school_id_archived_at"), "staff", ["school_id", "archived_at"], unique=False
    )


def _student() -> None:
    op.create_table(
        "student",
        sa.Column("school_id", sa.Uuid(), nullable=False),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("key", sa.String(length=64), nullable=True),
        sa.Column("display_name", sa.String(length=100), nullable=False),
        sa.Column("time_zone", sa.String(length=64), nullable=False),
        sa.Column("pseudonym", sa.Uuid(), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("archived_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(["school_id"], ["school.id"], name=op.f("fk_student_school_id")),
        sa.PrimaryKeyConstraint("school_id", "id", name=op.f("pk_student")),
        sa.UniqueConstraint("school_id", "key", name=op.f("uq_student_school_id_key")),
    )
    op.create_index(
        op.f("ix_student_school_id_created_at_id"), "student", ["school_id", "created_at", "id"], unique=False
    )
    op.create_index(
        op.f("ix_student_school_id_archived_at"), "student", ["school_id", "archived_at"], unique=False
    )


def _guardian() -> None:
    op.create_table(
        "guardian",
        sa.Column("school_id", sa.Uuid(), nullable=False),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("student_id", sa.Uuid(), nullable=False),
        sa.Column("display_name", sa.String(length=100), nullable=True),
        sa.Column("pseudonym", sa.Uuid(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["school_id", "student_id"],
            ["student.school_id", "student.id"],
            name=op.f("fk_guardian_school_id_student_id"),
        ),
        sa.ForeignKeyConstraint(["school_id"], ["school.id"], name=op.f("fk_guardian_school_id")),
        sa.PrimaryKeyConstraint("school_id", "id", name=op.f("pk_guardian")),
    )
    op.create_index(
        op.f("ix_guardian_school_id_created_at_id"),
        "guardian",
        ["school_id", "created_at", "id"],
        unique=False,
    )
    op.create_index(
        op.f("ix_guardian_school_id_student_id"), "guardian", ["school_id", "student_id"], unique=False
    )


def _student_group() -> None:
    op.create_table(
        "student_group",
        sa.Column("school_id", sa.Uuid(), nullable=False),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("name", sa.String(length=100), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("archived_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(["school_id"], ["school.id"], name=op.f("fk_student_group_school_id")),
        sa.PrimaryKeyConstraint("school_id", "id", name=op.f("pk_student_group")),
    )
    op.create_index(
        op.f("ix_student_group_school_id_created_at_id"),
        "student_group",
        ["school_id", "created_at", "id"],
        unique=False,
    )
    op.create_index(
        op.f("ix_student_group_school_id_archived_at"),
        "student_group",
        ["school_id", "archived_at"],
        unique=False,
    )


def _group_teacher() -> None:
    op.create_table(
        "group_teacher",
        sa.Column("school_id", sa.Uuid(), nullable=False),
        sa.Column("group_id", sa.Uuid(), nullable=False),
        sa.Column("staff_id", sa.Uuid(), nullable=False),
        sa.ForeignKeyConstraint(
            ["school_id", "group_id"],
            ["student_group.school_id", "student_group.id"],
            name=op.f("fk_group_teacher_school_id_group_id"),
        ),
        sa.ForeignKeyConstraint(
            ["school_id", "staff_id"],
            ["staff.school_id", "staff.id"],
            name=op.f("fk_group_teacher_school_id_staff_id"),
        ),
        sa.ForeignKeyConstraint(["school_id"], ["school.id"], name=op.f("fk_group_teacher_school_id")),
        sa.PrimaryKeyConstraint("school_id", "group_id", "staff_id", name=op.f("pk_group_teacher")),
    )
    op.create_index(
        op.f("ix_group_teacher_school_id_staff_id"), "group_teacher", ["school_id", "staff_id"], unique=False
    )


def _group_student() -> None:
    op.create_table(
        "group_student",
        sa.Column("school_id", sa.Uuid(), nullable=False),
        sa.Column("group_id", sa.Uuid(), nullable=False),
        sa.Column("student_id", sa.Uuid(), nullable=False),
        sa.ForeignKeyConstraint(
            ["school_id", "group_id"],
            ["student_group.school_id", "student_group.id"],
            name=op.f("fk_group_student_school_id_group_id"),
        ),
        sa.ForeignKeyConstraint(
            ["school_id", "student_id"],
            ["student.school_id", "student.id"],
            name=op.f("fk_group_student_school_id_student_id"),
        ),
        sa.ForeignKeyConstraint(["school_id"], ["school.id"], name=op.f("fk_group_student_school_id")),
        sa.PrimaryKeyConstraint("school_id", "group_id", "student_id", name=op.f("pk_group_student")),
    )
    op.create_index(
        op.f("ix_group_student_school_id_student_id"),
        "group_student",
        ["school_id", "student_id"],
        unique=False,
    )


def _identity() -> None:
    op.create_table(
        "identity",
        sa.Column("school_id", sa.Uuid(), nullable=False),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("hash", sa.LargeBinary(length=32), nullable=False),
        sa.Column("staff_id", sa.Uuid(), nullable=True),
        sa.Column("student_id", sa.Uuid(), nullable=True),
        sa.Column("guardian_id", sa.Uuid(), nullable=True),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["school_id", "guardian_id"],
            ["guardian.school_id", "guardian.id"],
            name=op.f("fk_identity_school_id_guardian_id"),
        ),
        sa.ForeignKeyConstraint(
            ["school_id", "staff_id"],
            ["staff.school_id", "staff.id"],
            name=op.f("fk_identity_school_id_staff_id"),
        ),
        sa.ForeignKeyConstraint(
            ["school_id", "student_id"],
            ["student.school_id", "student.id"],
            name=op.f("fk_identity_school_id_student_id"),
        ),
        sa.ForeignKeyConstraint(["school_id"], ["school.id"], name=op.f("fk_identity_school_id")),
        sa.PrimaryKeyConstraint("school_id", "id", name=op.f("pk_identity")),
        sa.UniqueConstraint("hash", name=op.f("uq_identity_hash")),
    )
    op.create_index(
        op.f("ix_identity_school_id_guardian_id"), "identity", ["school_id", "guardian_id"], unique=False
    )
    op.create_index(
        op.f("ix_identity_school_id_staff_id"), "identity", ["school_id", "staff_id"], unique=False
    )
    op.create_index(
        op.f("ix_identity_school_id_student_id"), "identity", ["school_id", "student_id"], unique=False
    )


def _token() -> None:
    op.create_table(
        "token",
        sa.Column("school_id", sa.Uuid(), nullable=False),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("hash", sa.LargeBinary(length=32), nullable=False),
        sa.Column("role", sa.String(length=16), nullable=False),
        sa.Column("staff_id", sa.Uuid(), nullable=True),
        sa.Column("student_id", sa.Uuid(), nullable=True),
        sa.Column("guardian_id", sa.Uuid(), nullable=True),
        sa.Column("label", sa.String(length=100), nullable=True),
        sa.Column("scopes", sa.Text(), nullable=False),
        sa.Column("pseudonym", sa.Uuid(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("expires_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("revoked_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("last_used_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(
            ["school_id", "guardian_id"],
            ["guardian.school_id", "guardian.id"],
            name=op.f("fk_token_school_id_guardian_id"),
        ),
        sa.ForeignKeyConstraint(
            ["school_id", "staff_id"],
            ["staff.school_id", "staff.id"],
            name=op.f("fk_token_school_id_staff_id"),
        ),
        sa.ForeignKeyConstraint(
            ["school_id", "student_id"],
            ["student.school_id", "student.id"],
            name=op.f("fk_token_school_id_student_id"),
        ),
        sa.ForeignKeyConstraint(["school_id"], ["school.id"], name=op.f("fk_token_school_id")),
        sa.PrimaryKeyConstraint("school_id", "id", name=op.f("pk_token")),
        sa.UniqueConstraint("hash", name=op.f("uq_token_hash")),
    )
    op.create_index(
        op.f("ix_token_school_id_created_at_id"), "token", ["school_id", "created_at", "id"], unique=False
    )
    op.create_index(
        op.f("ix_token_school_id_guardian_id"), "token", ["school_id", "guardian_id"], unique=False
    )
    op.create_index(op.f("ix_token_school_id_staff_id"), "token", ["school_id", "staff_id"], unique=False)
    op.create_index(op.f("ix_token_school_id_student_id"), "token", ["school_id", "student_id"], unique=False)


def _invitation() -> None:
    op.create_table(
        "invitation",
        sa.Column("school_id", sa.Uuid(), nullable=False),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("hash", sa.LargeBinary(length=32), nullable=False),
        sa.Column("staff_id", sa.Uuid(), nullable=True),
        sa.Column("student_id", sa.Uuid(), nullable=True),
        sa.Column("guardian_id", sa.Uuid(), nullable=True),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("expires_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("revoked_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("used_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(
            ["school_id", "guardian_id"],
            ["guardian.school_id", "guardian.id"],
            name=op.f("fk_invitation_school_id_guardian_id"),
        ),
        sa.ForeignKeyConstraint(
            ["school_id", "staff_id"],
            ["staff.school_id", "staff.id"],
            name=op.f("fk_invitation_school_id_staff_id"),
        ),
        sa.ForeignKeyConstraint(
            ["school_id", "student_id"],
            ["student.school_id", "student.id"],
            name=op.f("fk_invitation_school_id_student_id"),
        ),
        sa.ForeignKeyConstraint(["school_id"], ["school.id"], name=op.f("fk_invitation_school_id")),
        sa.PrimaryKeyConstraint("school_id", "id", name=op.f("pk_invitation")),
        sa.UniqueConstraint("hash", name=op.f("uq_invitation_hash")),
    )
    columns = ("staff_id", "student_id", "guardian_id", "used_at", "revoked_at", "expires_at")
    for indexed in (("created_at", "id"), *((column,) for column in columns)):
        name = "ix_invitation_school_id_" + "_".join(indexed)
        op.create_index(op.f(name), "invitation", ["school_id", *indexed], unique=False)
