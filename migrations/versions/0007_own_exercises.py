"""Keep exercises of a school's own: catalogues in TOML, as they were sent.

Going down, they are lost; routines that use them stay, and cannot be planned anew.

Revision ID: 0007
Revises: 0006
"""

import sqlalchemy as sa
from alembic import op

revision = "0007"
down_revision = "0006"

SCHOOL = "school_id = NULLIF(current_setting('app.school_id', true), '')::uuid"
OF_A_SCHOOL = ("school_catalogue",)


def upgrade() -> None:
    op.create_table(
        "school_catalogue",
        sa.Column("school_id", sa.Uuid(), nullable=False),
        sa.Column("instrument", sa.String(length=64), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("version", sa.String(length=40), nullable=False),
        sa.Column("exercise_count", sa.Integer(), nullable=False),
        sa.Column("data_bytes", sa.Integer(), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("changed_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("toml", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["school_id"], ["school.id"], name=op.f("fk_school_catalogue_school_id")),
        sa.PrimaryKeyConstraint("school_id", "instrument", name=op.f("pk_school_catalogue")),
    )
    if op.get_bind().dialect.name != "postgresql":
        return
    for table in OF_A_SCHOOL:
        op.execute(f"ALTER TABLE {table} ENABLE ROW LEVEL SECURITY")
        # The owner of the table too.
        op.execute(f"ALTER TABLE {table} FORCE ROW LEVEL SECURITY")
        op.execute(f"CREATE POLICY of_the_school ON {table} USING ({SCHOOL}) WITH CHECK ({SCHOOL})")


def downgrade() -> None:
    for table in reversed(OF_A_SCHOOL):
        op.drop_table(table)
