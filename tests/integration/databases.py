"""The databases that the integration tests run on."""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from uuid import uuid4

import psycopg
import pytest
from sqlalchemy.engine import make_url

POSTGRESQL_VARIABLE = "BAGATELLE_TEST_POSTGRESQL_URL"


def sqlite_url(folder: Path) -> str:
    return f"sqlite:///{folder / 'test.sqlite3'}"


@contextmanager
def postgresql_database() -> Iterator[str]:
    """Make an empty database beside the one of the test URL, and drop it afterwards."""
    if POSTGRESQL_VARIABLE not in os.environ:
        pytest.fail(
            f"{POSTGRESQL_VARIABLE} is not set: these tests need a PostgreSQL whose user may make databases, "
            "such as postgresql://postgres@127.0.0.1:5432/postgres"
        )
    url = make_url(os.environ[POSTGRESQL_VARIABLE]).set(drivername="postgresql")
    name = f"bagatelle_test_{uuid4().hex}"
    with psycopg.connect(url.render_as_string(hide_password=False), autocommit=True) as connection:
        connection.execute(f'CREATE DATABASE "{name}"')
        try:
            yield url.set(database=name).render_as_string(hide_password=False)
        finally:
            connection.execute(f'DROP DATABASE "{name}" WITH (FORCE)')
