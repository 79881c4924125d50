"""Make what the service keeps of its own doings.

Revision ID: 0004
Revises: 0003
"""

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"


def upgrade() -> None:
    _audit_entry()
    _erasure()
    _kept_answer()
    _permit_window()


def downgrade() -> None:
    for table in ("permit_window", "kept_answer", "erasure", "audit_entry"):
        op.drop_table(table)


def _audit_entry() -> None:
    op.create_table(
        "audit_entry",
        sa.Column("school_id", sa.Uuid(), nullable=False),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("actor", sa.Uuid(), nullable=False),
        sa.Column("actor_role", sa.String(length=16), nullable=False),
        sa.Column("operation", sa.String(length=64), nullable=False),
        sa.Column("subject", sa.Uuid(), nullable=True),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["school_id"], ["school.id"], name=op.f("fk_audit_entry_school_id")),
        sa.PrimaryKeyConstraint("school_id", "id", name=op.f("pk_audit_entry")),
    )
    op.create_index(
        op.f("ix_audit_entry_school_id_actor_created_at_id"),
        "audit_entry",
        ["school_id", "actor", "created_at", "id"],
        unique=False,
    )
    op.create_index(
        op.f("ix_audit_entry_school_id_created_at_id"),
        "audit_entry",
        ["school_id", "created_at", "id"],
        unique=False,
    )
    op.create_index(
        op.f("ix_audit_entry_school_id_operation_created_at_id"),
        "audit_entry",
        ["school_id", "operation", "created_at", "id"],
        unique=False,
    )
    op.create_index(
        op.f("ix_audit_entry_school_id_subject_created_at_id"),
        "audit_entry",
        ["school_id", "subject", "created_at", "id"],
        unique=False,
    )


def _erasure() -> None:
    op.create_table(
        "erasure",
        sa.Column("school_id", sa.Uuid(), nullable=False),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("student_hash", sa.LargeBinary(length=32), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["school_id"], ["school.id"], name=op.f("fk_erasure_school_id")),
        sa.PrimaryKeyConstraint("school_id", "id", name=op.f("pk_erasure")),
        sa.UniqueConstraint("student_hash", name=op.f("uq_erasure_student_hash")),
    )
    op.create_index(
        op.f("ix_erasure_school_id_created_at_id"), "erasure", ["school_id", "created_at", "id"], unique=False
    )


def _kept_answer() -> None:
    op.create_table(
        "kept_answer",
        sa.Column("school_id", sa.Uuid(), nullable=False),
        sa.Column("key_hash", sa.LargeBinary(length=32), nullable=False),
        sa.Column("request_hash", sa.LargeBinary(length=32), nullable=False),
        sa.Column("student_id", sa.Uuid(), nullable=True),
        sa.Column("about_many", sa.Boolean(), nullable=False),
        sa.Column("body", sa.LargeBinary(), nullable=True),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["school_id", "student_id"],
            ["student.school_id", "student.id"],
            name=op.f("fk_kept_answer_school_id_student_id"),
        ),
        sa.ForeignKeyConstraint(["school_id"], ["school.id"], name=op.f("fk_kept_answer_school_id")),
        sa.PrimaryKeyConstraint("school_id", "key_hash", name=op.f("pk_kept_answer")),
    )
    op.create_index(op.f("ix_kept_answer_created_at"), "kept_answer", ["created_at"], unique=False)
    op.create_index(
        op.f("ix_kept_answer_school_id_student_id"), "kept_answer", ["school_id", "student_id"], unique=False
    )


def _permit_window() -> None:
    op.create_table(
        "permit_window",
        sa.Column("token_id", sa.Uuid(), nullable=False),
        sa.Column("minute", sa.DateTime(timezone=True), nullable=False),
        sa.Column("granted", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("token_id", "minute", name=op.f("pk_permit_window")),
    )
