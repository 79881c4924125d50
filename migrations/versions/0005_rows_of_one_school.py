"""Bind every row to its school in PostgreSQL itself (row-level security), whatever a query forgets.

The service says in each transaction for which school it works (`app.school_id`), which secret's hash it was shown
(`app.presented`), or that it works for the operator (`app.operator`). Where it says nothing there are no rows.

Revision ID: 0005
Revises: 0004
"""

from alembic import op

revision = "0005"
down_revision = "0004"

SCHOOL = "school_id = NULLIF(current_setting('app.school_id', true), '')::uuid"
OWN_SCHOOL = "id = NULLIF(current_setting('app.school_id', true), '')::uuid"
PRESENTED = "hash = decode(NULLIF(current_setting('app.presented', true), ''), 'hex')"
OPERATOR = "current_setting('app.operator', true) = 'yes'"

OF_A_SCHOOL = (
    "staff",
    "student",
    "guardian",
    "student_group",
    "group_teacher",
    "group_student",
    "identity",
    "token",
    "invitation",
    "routine",
    "routine_revision",
    "task",
    "catalogue_snapshot",
    "prepared_plan",
    "log_entry",
    "day_sheet",
    "audit_entry",
    "erasure",
    "kept_answer",
)
# Whoever shows a secret may read the row of its hash, and so finds the school.
FOUND_BY_SECRET = ("identity", "token", "invitation", "operator_token")


def upgrade() -> None:
    if op.get_bind().dialect.name != "postgresql":
        return
    for table in (*OF_A_SCHOOL, "school", "operator_token"):
        op.execute(f"ALTER TABLE {table} ENABLE ROW LEVEL SECURITY")
        # The owner of the table too.
        op.execute(f"ALTER TABLE {table} FORCE ROW LEVEL SECURITY")
    for table in OF_A_SCHOOL:
        _policy(table, "of_the_school", f"USING ({SCHOOL}) WITH CHECK ({SCHOOL})")
    _policy("school", "of_the_school", f"USING ({OWN_SCHOOL}) WITH CHECK ({OWN_SCHOOL})")
    for table in FOUND_BY_SECRET:
        _policy(table, "found_by_secret", f"FOR SELECT USING ({PRESENTED})")
    for table in ("school", "operator_token"):
        _policy(table, "of_the_operator", f"USING ({OPERATOR}) WITH CHECK ({OPERATOR})")


def downgrade() -> None:
    if op.get_bind().dialect.name != "postgresql":
        return
    for table in OF_A_SCHOOL:
        op.execute(f"DROP POLICY of_the_school ON {table}")
    op.execute("DROP POLICY of_the_school ON school")
    for table in FOUND_BY_SECRET:
        op.execute(f"DROP POLICY found_by_secret ON {table}")
    for table in ("school", "operator_token"):
        op.execute(f"DROP POLICY of_the_operator ON {table}")
    for table in (*OF_A_SCHOOL, "school", "operator_token"):
        op.execute(f"ALTER TABLE {table} NO FORCE ROW LEVEL SECURITY")
        op.execute(f"ALTER TABLE {table} DISABLE ROW LEVEL SECURITY")


def _policy(table: str, name: str, rule: str) -> None:
    op.execute(f"CREATE POLICY {name} ON {table} {rule}")
