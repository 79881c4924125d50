"""Say whose database this is.

Revision ID: 0001
Revises:
"""

from datetime import UTC, datetime
from uuid import uuid4

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None


def upgrade() -> None:
    installation = op.create_table(
        "installation",
        sa.Column("only_row", sa.SmallInteger(), autoincrement=False, nullable=False),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint("only_row = 1", name=op.f("ck_installation_only_row")),
        sa.PrimaryKeyConstraint("only_row", name=op.f("pk_installation")),
    )
    op.bulk_insert(installation, [{"only_row": 1, "id": uuid4(), "created_at": datetime.now(UTC)}])


def downgrade() -> None:
    op.drop_table("installation")
