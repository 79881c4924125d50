"""Make routines, plans, sheets and logs.

Revision ID: 0003
Revises: 0002
"""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"


def upgrade() -> None:
    _routine()
    _routine_revision()
    _task()
    _catalogue_snapshot()
    _prepared_plan()
    _log_entry()
    _day_sheet()


def downgrade() -> None:
    for table in (
        "day_sheet",
        "log_entry",
        "prepared_plan",
        "catalogue_snapshot",
        "task",
        "routine_revision",
        "routine",
    ):
        op.drop_table(table)


def _routine() -> None:
    op.create_table(
        "routine",
        sa.Column("school_id", sa.Uuid(), nullable=False),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("student_id", sa.Uuid(), nullable=False),
        sa.Column("key", sa.String(length=64), nullable=True),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("archived_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(
            ["school_id", "student_id"],
            ["student.school_id", "student.id"],
            name=op.f("fk_routine_school_id_student_id"),
        ),
        sa.ForeignKeyConstraint(["school_id"], ["school.id"], name=op.f("fk_routine_school_id")),
        sa.PrimaryKeyConstraint("school_id", "id", name=op.f("pk_routine")),
        sa.UniqueConstraint(
            "school_id", "student_id", "key", name=op.f("uq_routine_school_id_student_id_key")
        ),
    )
    op.create_index(
        op.f("ix_routine_school_id_student_id_created_at_id"),
        "routine",
        ["school_id", "student_id", "created_at", "id"],
        unique=False,
    )
    op.create_index(
        op.f("ix_routine_school_id_student_id_archived_at"),
        "routine",
        ["school_id", "student_id", "archived_at"],
        unique=False,
    )


def _routine_revision() -> None:
    op.create_table(
        "routine_revision",
        sa.Column("school_id", sa.Uuid(), nullable=False),
        sa.Column("routine_id", sa.Uuid(), nullable=False),
        sa.Column("number", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("body", sa.Text(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["school_id", "routine_id"],
            ["routine.school_id", "routine.id"],
            name=op.f("fk_routine_revision_school_id_routine_id"),
        ),
        sa.ForeignKeyConstraint(["school_id"], ["school.id"], name=op.f("fk_routine_revision_school_id")),
        sa.PrimaryKeyConstraint("school_id", "routine_id", "number", name=op.f("pk_routine_revision")),
    )


def _task() -> None:
    op.create_table(
        "task",
        sa.Column("school_id", sa.Uuid(), nullable=False),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("routine_id", sa.Uuid(), nullable=False),
        sa.Column("key", sa.String(length=64), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("removed_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(
            ["school_id", "routine_id"],
            ["routine.school_id", "routine.id"],
            name=op.f("fk_task_school_id_routine_id"),
        ),
        sa.ForeignKeyConstraint(["school_id"], ["school.id"], name=op.f("fk_task_school_id")),
        sa.PrimaryKeyConstraint("school_id", "id", name=op.f("pk_task")),
        sa.UniqueConstraint("school_id", "routine_id", "key", name=op.f("uq_task_school_id_routine_id_key")),
    )


def _catalogue_snapshot() -> None:
    op.create_table(
        "catalogue_snapshot",
        sa.Column("school_id", sa.Uuid(), nullable=False),
        sa.Column("hash", sa.String(length=64), nullable=False),
        sa.Column("body", sa.Text(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["school_id"], ["school.id"], name=op.f("fk_catalogue_snapshot_school_id")),
        sa.PrimaryKeyConstraint("school_id", "hash", name=op.f("pk_catalogue_snapshot")),
    )


def _prepared_plan() -> None:
    op.create_table(
        "prepared_plan",
        sa.Column("school_id", sa.Uuid(), nullable=False),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("routine_id", sa.Uuid(), nullable=False),
        sa.Column("routine_revision", sa.Integer(), nullable=False),
        sa.Column("catalogue_hash", sa.String(length=64), nullable=False),
        sa.Column("kind", sa.String(length=32), nullable=False),
        sa.Column("body", sa.Text(), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("archived_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(
            ["school_id", "catalogue_hash"],
            ["catalogue_snapshot.school_id", "catalogue_snapshot.hash"],
            name=op.f("fk_prepared_plan_school_id_catalogue_hash"),
        ),
        sa.ForeignKeyConstraint(
            ["school_id", "routine_id", "routine_revision"],
            ["routine_revision.school_id", "routine_revision.routine_id", "routine_revision.number"],
            name=op.f("fk_prepared_plan_school_id_routine_id_routine_revision"),
        ),
        sa.ForeignKeyConstraint(["school_id"], ["school.id"], name=op.f("fk_prepared_plan_school_id")),
        sa.PrimaryKeyConstraint("school_id", "id", name=op.f("pk_prepared_plan")),
    )
    op.create_index(
        op.f("ix_prepared_plan_school_id_catalogue_hash"),
        "prepared_plan",
        ["school_id", "catalogue_hash"],
        unique=False,
    )
    op.create_index(
        op.f("ix_prepared_plan_school_id_routine_id_created_at_id"),
        "prepared_plan",
        ["school_id", "routine_id", "created_at", "id"],
        unique=False,
    )


def _log_entry() -> None:
    op.create_table(
        "log_entry",
        sa.Column("school_id", sa.Uuid(), nullable=False),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("student_id", sa.Uuid(), nullable=False),
        sa.Column("task_id", sa.Uuid(), nullable=True),
        sa.Column("routine_id", sa.Uuid(), nullable=True),
        sa.Column("routine_revision", sa.Integer(), nullable=True),
        sa.Column("exercise", sa.String(length=128), nullable=True),
        sa.Column("exercise_version", sa.String(length=128), nullable=True),
        sa.Column("units", sa.Text(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("kind", sa.String(length=16), nullable=False),
        sa.Column("seconds", sa.Integer(), nullable=False),
        sa.Column("done_when_met", sa.Boolean(), nullable=True),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("removed_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(
            ["school_id", "routine_id", "routine_revision"],
            ["routine_revision.school_id", "routine_revision.routine_id", "routine_revision.number"],
            name=op.f("fk_log_entry_school_id_routine_id_routine_revision"),
        ),
        sa.ForeignKeyConstraint(
            ["school_id", "student_id"],
            ["student.school_id", "student.id"],
            name=op.f("fk_log_entry_school_id_student_id"),
        ),
        sa.ForeignKeyConstraint(
            ["school_id", "task_id"],
            ["task.school_id", "task.id"],
            name=op.f("fk_log_entry_school_id_task_id"),
        ),
        sa.ForeignKeyConstraint(["school_id"], ["school.id"], name=op.f("fk_log_entry_school_id")),
        sa.PrimaryKeyConstraint("school_id", "id", name=op.f("pk_log_entry")),
    )
    _log_entry_indexes()


def _log_entry_indexes() -> None:
    op.create_index(
        op.f("ix_log_entry_school_id_routine_id_routine_revision"),
        "log_entry",
        ["school_id", "routine_id", "routine_revision"],
        unique=False,
    )
    op.create_index(
        op.f("ix_log_entry_school_id_student_id_day_id"),
        "log_entry",
        ["school_id", "student_id", "day", "id"],
        unique=False,
    )
    op.create_index(
        op.f("ix_log_entry_school_id_task_id_day"), "log_entry", ["school_id", "task_id", "day"], unique=False
    )


def _day_sheet() -> None:
    op.create_table(
        "day_sheet",
        sa.Column("school_id", sa.Uuid(), nullable=False),
        sa.Column("student_id", sa.Uuid(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("plan_id", sa.Uuid(), nullable=True),
        sa.Column("body", sa.Text(), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["school_id", "plan_id"],
            ["prepared_plan.school_id", "prepared_plan.id"],
            name=op.f("fk_day_sheet_school_id_plan_id"),
        ),
        sa.ForeignKeyConstraint(
            ["school_id", "student_id"],
            ["student.school_id", "student.id"],
            name=op.f("fk_day_sheet_school_id_student_id"),
        ),
        sa.ForeignKeyConstraint(["school_id"], ["school.id"], name=op.f("fk_day_sheet_school_id")),
        sa.PrimaryKeyConstraint("school_id", "student_id", "day", name=op.f("pk_day_sheet")),
    )
    op.create_index(
        op.f("ix_day_sheet_school_id_plan_id"), "day_sheet", ["school_id", "plan_id"], unique=False
    )
