"""A deployment on PostgreSQL: one role owns and migrates, another serves and is bound by row-level security."""

from pathlib import Path
from typing import LiteralString

import psycopg
import pytest
from bagatelle_service.database.tables import Table
from sqlalchemy.engine import make_url

from tests.integration.databases import postgresql_database, postgresql_with_two_roles, sqlite_url
from tests.integration.serving import run_command, served

# PostgreSQL 15, chapters 5.7 (privileges) and 9.26 (has_table_privilege).
RIGHTS = ("SELECT", "INSERT", "UPDATE", "DELETE", "TRUNCATE", "REFERENCES", "TRIGGER")


@pytest.mark.postgresql
def test_the_role_that_serves_gets_what_it_needs_and_no_more(tmp_path: Path) -> None:
    with postgresql_with_two_roles() as urls:
        migrate = ("migrate", "--grant-to", urls.service_role)
        for _ in range(2):
            done = run_command(tmp_path, *migrate, BAGATELLE_DATABASE_URL=urls.owner_url)
            assert done.returncode == 0, done.stderr
            assert urls.service_role in done.stdout
        with served(tmp_path, BAGATELLE_DATABASE_URL=urls.service_url) as client:
            assert client.get("/health/ready").status_code == 200
            assert client.get("/v1/students", headers={"Authorization": "Bearer x"}).status_code == 401
        with psycopg.connect(urls.service_url) as connection:
            rights = {
                table: "".join(
                    right[0]
                    for right in RIGHTS
                    if connection.execute("SELECT has_table_privilege(%s, %s)", (table, right)).fetchone()
                    == (True,)
                )
                for table in (*Table.metadata.tables, "alembic_version")
            }
            owned = connection.execute(
                "SELECT relname FROM pg_class WHERE relowner = current_user::regrole"
            ).fetchall()
            may_create = connection.execute(
                "SELECT has_schema_privilege(current_schema(), 'CREATE')"
            ).fetchone()
    assert {table for table, letters in rights.items() if letters == "S"} == {
        "alembic_version",
        "installation",
    }
    assert set(rights.values()) == {"S", "SIUD"}
    assert (owned, may_create) == ([], (False,))


@pytest.mark.postgresql
def test_without_a_grant_it_does_not_serve(tmp_path: Path) -> None:
    with postgresql_with_two_roles() as urls:
        assert run_command(tmp_path, "migrate", BAGATELLE_DATABASE_URL=urls.owner_url).returncode == 0
        refused = run_command(tmp_path, "serve", BAGATELLE_DATABASE_URL=urls.service_url)
    assert refused.returncode == 1
    assert "permission denied" in refused.stderr
    assert "Traceback" not in refused.stderr


@pytest.mark.postgresql
@pytest.mark.parametrize(
    ("attributes", "said"), [("SUPERUSER", "is a superuser"), ("BYPASSRLS", "has BYPASSRLS")]
)
def test_a_role_that_rows_do_not_bind_does_not_serve(
    tmp_path: Path, attributes: LiteralString, said: str
) -> None:
    with postgresql_with_two_roles(attributes) as urls:
        migrate = ("migrate", "--grant-to", urls.service_role)
        assert run_command(tmp_path, *migrate, BAGATELLE_DATABASE_URL=urls.owner_url).returncode == 0
        refused = run_command(tmp_path, "serve", BAGATELLE_DATABASE_URL=urls.service_url)
    assert refused.returncode == 1
    assert f"{urls.service_role!r} {said}" in refused.stderr
    assert "--grant-to" in refused.stderr
    assert "Traceback" not in refused.stderr


@pytest.mark.postgresql
@pytest.mark.parametrize("role", ["nobody_of_that_name", 'x"; DROP TABLE school; --'])
def test_a_role_that_is_not_there_is_named_and_nothing_is_changed(tmp_path: Path, role: str) -> None:
    with postgresql_database() as url:
        refused = run_command(tmp_path, "migrate", "--grant-to", role, BAGATELLE_DATABASE_URL=url)
        with psycopg.connect(make_url(url).render_as_string(hide_password=False)) as connection:
            assert connection.execute("SELECT to_regclass('school')").fetchone() == (None,)
    assert refused.returncode == 1
    assert "there is no role" in refused.stderr
    assert "Traceback" not in refused.stderr


def test_sqlite_has_no_roles(tmp_path: Path) -> None:
    url = sqlite_url(tmp_path)
    refused = run_command(tmp_path, "migrate", "--grant-to", "service", BAGATELLE_DATABASE_URL=url)
    assert refused.returncode == 1
    assert "SQLite file has no roles" in refused.stderr
