"""The databases that the integration tests run on."""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from uuid import uuid4

import psycopg
import pytest
from psycopg.sql import SQL, Identifier, Literal
from sqlalchemy.engine import URL, make_url

POSTGRESQL_VARIABLE = "BAGATELLE_TEST_POSTGRESQL_URL"


def sqlite_url(folder: Path) -> str:
    return f"sqlite:///{folder / 'test.sqlite3'}"


@contextmanager
def database_of_kind(kind: str, folder: Path) -> Iterator[str]:
    """Make an empty database: `sqlite`, a file of the folder, or `postgresql`."""
    if kind == "sqlite":
        yield sqlite_url(folder)
        return
    with postgresql_database() as url:
        yield url


def _test_url() -> URL:
    if POSTGRESQL_VARIABLE not in os.environ:
        pytest.fail(
            f"{POSTGRESQL_VARIABLE} is not set: these tests need a PostgreSQL whose user may make databases and "
            "roles, such as postgresql://postgres@127.0.0.1:5432/postgres"
        )
    return make_url(os.environ[POSTGRESQL_VARIABLE]).set(drivername="postgresql")


@contextmanager
def postgresql_database() -> Iterator[str]:
    """Make an empty database beside the one of the test URL, and drop it afterwards.

    It belongs to a role of its own that is no superuser, whom row-level security would not bind.
    """
    url = _test_url()
    name, password = f"bagatelle_test_{uuid4().hex}", uuid4().hex
    with psycopg.connect(url.render_as_string(hide_password=False), autocommit=True) as connection:
        role = Identifier(name)
        connection.execute(SQL("CREATE ROLE {} LOGIN PASSWORD {}").format(role, Literal(password)))
        # A user who is no superuser must be of the role to make a database for it.
        connection.execute(SQL("GRANT {} TO CURRENT_USER").format(role))
        try:
            connection.execute(SQL("CREATE DATABASE {} OWNER {}").format(role, role))
            yield url.set(database=name, username=name, password=password).render_as_string(
                hide_password=False
            )
        finally:
            connection.execute(SQL("DROP DATABASE IF EXISTS {} WITH (FORCE)").format(role))
            connection.execute(SQL("DROP ROLE {}").format(role))
