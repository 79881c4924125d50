"""The databases of the tests are what they stand for: nobody's rights are wider in a copy."""

from pathlib import Path

import psycopg
import pytest
from bagatelle_service.database.tables import Table

from tests.integration.databases import (
    copied_postgresql_database,
    database_of_kind,
    migrated_postgresql_database,
    sqlite_url,
)
from tests.integration.school import Service, service_on


@pytest.mark.postgresql
def test_rows_of_a_copy_are_kept_apart_from_its_own_owner() -> None:
    with migrated_postgresql_database() as url:
        with service_on(url) as service:
            service.school()
        with copied_postgresql_database(url) as copy, psycopg.connect(copy) as connection:
            owned = connection.execute(
                "SELECT relname FROM pg_class WHERE relkind = 'r' AND relowner = current_user::regrole"
            ).fetchall()
            bypasses = "SELECT rolsuper OR rolbypassrls FROM pg_roles WHERE rolname = current_user"
            assert connection.execute(bypasses).fetchone() == (False,)
            assert connection.execute("SELECT count(*) FROM school").fetchone() == (0,)
            connection.execute("SELECT set_config('app.operator', 'yes', true)")
            assert connection.execute("SELECT count(*) FROM school").fetchone() == (1,)
    assert {name for (name,) in owned} == {*Table.metadata.tables, "alembic_version"}


@pytest.mark.parametrize("kind", ["sqlite", pytest.param("postgresql", marks=pytest.mark.postgresql)])
def test_nothing_of_one_copy_is_in_the_next(kind: str, tmp_path: Path) -> None:
    found = []
    for name in ("one", "other"):
        (tmp_path / name).mkdir()
        with database_of_kind(kind, tmp_path / name) as url, service_on(url) as service:
            found.append(names_of_schools(service))
            service.school()
            assert len(names_of_schools(service)) == 1
    assert found == [[], []]


def test_a_file_that_is_there_is_left_as_it_is(tmp_path: Path) -> None:
    url = sqlite_url(tmp_path)
    with service_on(url) as service:
        service.school("School of glass")
    with service_on(url) as service:
        assert names_of_schools(service) == ["School of glass"]


def names_of_schools(service: Service) -> list[str]:
    return [school["name"] for school in service.operator.get("/v1/schools").json()["schools"]]
