"""Keep days: plans by their revisions, sheets of them, days off, answered offers, and routines that are copies.

Plans and sheets are kept in another form than before. Nothing ever wrote the former one, so its tables are made
anew; where they hold a row all the same, the migration refuses rather than lose it.

Going down, prepared plans, their revisions, day sheets, days off and answers to offers are lost; so are the area,
step and fingerprint of each log entry, and of which routine another is a copy. Revision 0005 has no place for them.

Revision ID: 0006
Revises: 0005
"""

import sqlalchemy as sa
from alembic import op
from alembic.util import CommandError

revision = "0006"
down_revision = "0005"

SCHOOL = "school_id = NULLIF(current_setting('app.school_id', true), '')::uuid"
OF_A_SCHOOL = ("prepared_plan", "prepared_plan_revision", "day_sheet", "days_off", "answered_offer")
"""What is made here, what refers to something after it."""
FORMER = ("prepared_plan", "day_sheet")


def upgrade() -> None:
    for table in FORMER:
        _refuse_rows(table)
    for table in reversed(FORMER):
        op.drop_table(table)
    _origin_of_routine()
    _more_of_log_entry()
    _prepared_plan()
    _prepared_plan_revision()
    _day_sheet()
    _days_off()
    _answered_offer()
    _keep_schools_apart(OF_A_SCHOOL)


def downgrade() -> None:
    for table in reversed(OF_A_SCHOOL):
        op.drop_table(table)
    for column in ("fingerprint", "step", "area"):
        op.drop_column("log_entry", column)
    op.drop_index(op.f("ix_routine_school_id_student_id_origin_id"), "routine")
    op.drop_index(op.f("ix_routine_school_id_origin_id"), "routine")
    for column in ("copied_revision", "origin_revision", "origin_id"):
        op.drop_column("routine", column)
    _former_prepared_plan()
    _former_day_sheet()
    _keep_schools_apart(FORMER)


def _refuse_rows(table: str) -> None:
    """See that a table is empty, for all schools: its owner is bound by row-level security until it is lifted.

    :raises CommandError: where it holds something.
    """
    if op.get_bind().dialect.name == "postgresql":
        op.execute(f"ALTER TABLE {table} NO FORCE ROW LEVEL SECURITY")
    count = op.get_bind().scalar(sa.select(sa.func.count()).select_from(sa.table(table)))
    if count:
        raise CommandError(
            f"the table {table} holds rows ({count}) in a form that no version of the service has written, and "
            "revision 0006 has no place for them; save what they hold elsewhere and delete them, then migrate"
        )


def _keep_schools_apart(tables: tuple[str, ...]) -> None:
    if op.get_bind().dialect.name != "postgresql":
        return
    for table in tables:
        op.execute(f"ALTER TABLE {table} ENABLE ROW LEVEL SECURITY")
        # The owner of the table too.
        op.execute(f"ALTER TABLE {table} FORCE ROW LEVEL SECURITY")
        op.execute(f"CREATE POLICY of_the_school ON {table} USING ({SCHOOL}) WITH CHECK ({SCHOOL})")


def _origin_of_routine() -> None:
    """Add columns and indexes alone, which SQLite can do while other tables refer to the rows that are there."""
    op.add_column("routine", sa.Column("origin_id", sa.Uuid(), nullable=True))
    op.add_column("routine", sa.Column("origin_revision", sa.Integer(), nullable=True))
    op.add_column("routine", sa.Column("copied_revision", sa.Integer(), nullable=True))
    op.create_index(
        op.f("ix_routine_school_id_student_id_origin_id"),
        "routine",
        ["school_id", "student_id", "origin_id"],
        unique=True,
    )
    op.create_index(
        op.f("ix_routine_school_id_origin_id"), "routine", ["school_id", "origin_id"], unique=False
    )


def _more_of_log_entry() -> None:
    op.add_column("log_entry", sa.Column("area", sa.String(length=16), nullable=True))
    op.add_column("log_entry", sa.Column("step", sa.String(length=96), nullable=True))
    op.add_column("log_entry", sa.Column("fingerprint", sa.LargeBinary(length=16), nullable=True))


def _prepared_plan() -> None:
    op.create_table(
        "prepared_plan",
        sa.Column("school_id", sa.Uuid(), nullable=False),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("student_id", sa.Uuid(), nullable=False),
        sa.Column("routine_id", sa.Uuid(), nullable=False),
        sa.Column("kind", sa.String(length=32), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("archived_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(
            ["school_id", "routine_id"],
            ["routine.school_id", "routine.id"],
            name=op.f("fk_prepared_plan_school_id_routine_id"),
        ),
        sa.ForeignKeyConstraint(
            ["school_id", "student_id"],
            ["student.school_id", "student.id"],
            name=op.f("fk_prepared_plan_school_id_student_id"),
        ),
        sa.ForeignKeyConstraint(["school_id"], ["school.id"], name=op.f("fk_prepared_plan_school_id")),
        sa.PrimaryKeyConstraint("school_id", "id", name=op.f("pk_prepared_plan")),
        sa.UniqueConstraint(
            "school_id", "routine_id", "kind", name=op.f("uq_prepared_plan_school_id_routine_id_kind")
        ),
    )
    for whose in ("routine_id", "student_id"):
        op.create_index(
            op.f(f"ix_prepared_plan_school_id_{whose}_created_at_id"),
            "prepared_plan",
            ["school_id", whose, "created_at", "id"],
            unique=False,
        )


def _prepared_plan_revision() -> None:
    op.create_table(
        "prepared_plan_revision",
        sa.Column("school_id", sa.Uuid(), nullable=False),
        sa.Column("plan_id", sa.Uuid(), nullable=False),
        sa.Column("number", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("routine_id", sa.Uuid(), nullable=False),
        sa.Column("routine_revision", sa.Integer(), nullable=False),
        sa.Column("catalogue_hash", sa.String(length=64), nullable=False),
        sa.Column("made_with", sa.Text(), nullable=False),
        sa.Column("choices", sa.Text(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("body", sa.LargeBinary(), nullable=False),
        sa.ForeignKeyConstraint(
            ["school_id", "catalogue_hash"],
            ["catalogue_snapshot.school_id", "catalogue_snapshot.hash"],
            name=op.f("fk_prepared_plan_revision_school_id_catalogue_hash"),
        ),
        sa.ForeignKeyConstraint(
            ["school_id", "plan_id"],
            ["prepared_plan.school_id", "prepared_plan.id"],
            name=op.f("fk_prepared_plan_revision_school_id_plan_id"),
        ),
        sa.ForeignKeyConstraint(
            ["school_id", "routine_id", "routine_revision"],
            ["routine_revision.school_id", "routine_revision.routine_id", "routine_revision.number"],
            name=op.f("fk_prepared_plan_revision_school_id_routine_id_routine_revision"),
        ),
        sa.ForeignKeyConstraint(
            ["school_id"], ["school.id"], name=op.f("fk_prepared_plan_revision_school_id")
        ),
        sa.PrimaryKeyConstraint("school_id", "plan_id", "number", name=op.f("pk_prepared_plan_revision")),
    )
    for columns in (["school_id", "routine_id", "routine_revision"], ["school_id", "catalogue_hash"]):
        op.create_index(
            op.f(f"ix_prepared_plan_revision_{'_'.join(columns)}"),
            "prepared_plan_revision",
            columns,
            unique=False,
        )


def _day_sheet() -> None:
    op.create_table(
        "day_sheet",
        sa.Column("school_id", sa.Uuid(), nullable=False),
        sa.Column("student_id", sa.Uuid(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("plan_id", sa.Uuid(), nullable=False),
        sa.Column("plan_revision", sa.Integer(), nullable=False),
        sa.Column("made_from", sa.Text(), nullable=False),
        sa.Column("body", sa.Text(), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["school_id", "plan_id", "plan_revision"],
            [
                "prepared_plan_revision.school_id",
                "prepared_plan_revision.plan_id",
                "prepared_plan_revision.number",
            ],
            name=op.f("fk_day_sheet_school_id_plan_id_plan_revision"),
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
        op.f("ix_day_sheet_school_id_plan_id_plan_revision"),
        "day_sheet",
        ["school_id", "plan_id", "plan_revision"],
        unique=False,
    )


def _days_off() -> None:
    op.create_table(
        "days_off",
        sa.Column("school_id", sa.Uuid(), nullable=False),
        sa.Column("student_id", sa.Uuid(), nullable=False),
        sa.Column("body", sa.Text(), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["school_id", "student_id"],
            ["student.school_id", "student.id"],
            name=op.f("fk_days_off_school_id_student_id"),
        ),
        sa.ForeignKeyConstraint(["school_id"], ["school.id"], name=op.f("fk_days_off_school_id")),
        sa.PrimaryKeyConstraint("school_id", "student_id", name=op.f("pk_days_off")),
    )


def _answered_offer() -> None:
    op.create_table(
        "answered_offer",
        sa.Column("school_id", sa.Uuid(), nullable=False),
        sa.Column("student_id", sa.Uuid(), nullable=False),
        sa.Column("key", sa.String(length=160), nullable=False),
        sa.Column("answer", sa.String(length=16), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["school_id", "student_id"],
            ["student.school_id", "student.id"],
            name=op.f("fk_answered_offer_school_id_student_id"),
        ),
        sa.ForeignKeyConstraint(["school_id"], ["school.id"], name=op.f("fk_answered_offer_school_id")),
        sa.PrimaryKeyConstraint("school_id", "student_id", "key", name=op.f("pk_answered_offer")),
    )


def _former_prepared_plan() -> None:
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


def _former_day_sheet() -> None:
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
