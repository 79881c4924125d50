"""The databases that the integration tests run on: empty ones, and copies of one that was migrated.

Each process migrates one of a kind, when the first copy is asked for; all copies name the same installation.
"""

import asyncio
import atexit
import os
import shutil
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from functools import cache
from pathlib import Path
from secrets import token_hex
from tempfile import mkdtemp
from typing import LiteralString, NamedTuple

import psycopg
import pytest
from bagatelle_service.database.migrating import migrate
from psycopg.sql import SQL, Composed, Identifier, Literal
from sqlalchemy.engine import URL, make_url

POSTGRESQL_VARIABLE = "BAGATELLE_TEST_POSTGRESQL_URL"


def sqlite_url(folder: Path) -> str:
    return f"sqlite:///{folder / 'test.sqlite3'}"


@contextmanager
def database_of_kind(kind: str, folder: Path) -> Iterator[str]:
    """Make a migrated database: `sqlite`, a file of the folder, or `postgresql`."""
    if kind == "sqlite":
        url = sqlite_url(folder)
        migrate_absent_file(url)
        yield url
        return
    with migrated_postgresql_database() as url:
        yield url


def migrate_absent_file(url: str) -> None:
    """Put a migrated database where an SQLite file is to be; whatever is there already is left as it is."""
    file = Path(url.removeprefix("sqlite:///"))
    if url.startswith("sqlite:///") and not file.exists():
        shutil.copyfile(_migrated_file(), file)


@cache
def _migrated_file() -> Path:
    folder = Path(mkdtemp(prefix="bagatelle_test_"))
    atexit.register(shutil.rmtree, folder)
    url = sqlite_url(folder)
    asyncio.run(migrate(url))
    return Path(url.removeprefix("sqlite:///"))


def _test_url() -> URL:
    if POSTGRESQL_VARIABLE not in os.environ:
        pytest.fail(
            f"{POSTGRESQL_VARIABLE} is not set: these tests need a PostgreSQL whose user is a superuser, and "
            "so may make databases and any role, such as postgresql://postgres@127.0.0.1:5432/postgres"
        )
    return make_url(os.environ[POSTGRESQL_VARIABLE]).set(drivername="postgresql")


class TwoRoles(NamedTuple):
    """One database as its owner sees it, who migrates, and as the service does, which owns nothing."""

    owner_url: str
    service_url: str

    @property
    def service_role(self) -> str:
        return str(make_url(self.service_url).username)


@contextmanager
def postgresql_database() -> Iterator[str]:
    """Make an empty database beside the one of the test URL, and drop it afterwards.

    It belongs to a role of its own that is no superuser, whom row-level security would not bind.
    """
    server = _Server()
    with _role(server) as owner, _database(server, owner) as database:
        yield _render(owner.set(database=database))


@contextmanager
def migrated_postgresql_database() -> Iterator[str]:
    """Make a migrated database beside the one of the test URL, and drop it afterwards.

    Those of a process are of one role, who owns all in them and is no superuser.
    """
    owner, template = _migrated_template()
    with _database(_Server(), owner, template) as database:
        yield _render(owner.set(database=database))


@cache
def _migrated_template() -> tuple[URL, str]:
    """The role and the database that others are copied from; both go when the process ends."""
    server, ending = _Server(), ExitStack()
    atexit.register(ending.close)
    owner = ending.enter_context(_role(server))
    template = ending.enter_context(_database(server, owner))
    asyncio.run(migrate(_render(owner.set(database=template))))
    return owner, template


@contextmanager
def copied_postgresql_database(url: str) -> Iterator[str]:
    """Copy a database, which nobody may be connected to, with its owner, and drop the copy afterwards."""
    owner = make_url(url)
    with _database(_Server(), owner, str(owner.database)) as database:
        yield _render(owner.set(database=database))


@contextmanager
def postgresql_with_two_roles(attributes: LiteralString = "NOSUPERUSER") -> Iterator[TwoRoles]:
    """Make an empty database of one role, and another role that has nothing of it yet.

    :param attributes: of the service's role, as CREATE ROLE takes them.
    """
    server = _Server()
    with (
        _role(server) as owner,
        _role(server, attributes) as service,
        _database(server, owner) as database,
    ):
        yield TwoRoles(_render(owner.set(database=database)), _render(service.set(database=database)))


def _render(url: URL) -> str:
    return url.render_as_string(hide_password=False)


class _Server:
    """Connects for each statement alone: many databases may be there at once, and connections are few."""

    def execute(self, statement: Composed) -> None:
        with psycopg.connect(_render(_test_url()), autocommit=True) as connection:
            connection.execute(statement)


@contextmanager
def _role(server: _Server, attributes: LiteralString = "NOSUPERUSER") -> Iterator[URL]:
    name, password = f"bagatelle_test_{token_hex(16)}", token_hex(16)
    role = Identifier(name)
    server.execute(
        SQL("CREATE ROLE {} LOGIN {} PASSWORD {}").format(role, SQL(attributes), Literal(password))
    )
    try:
        yield _test_url().set(username=name, password=password)
    finally:
        server.execute(SQL("DROP ROLE {}").format(role))


@contextmanager
def _database(server: _Server, owner: URL, template: str = "template1") -> Iterator[str]:
    name, role = f"bagatelle_test_{token_hex(16)}", Identifier(str(owner.username))
    # A user who is no superuser must be of the role to make a database for it.
    server.execute(SQL("GRANT {} TO CURRENT_USER").format(role))
    try:
        statement = SQL("CREATE DATABASE {} OWNER {} TEMPLATE {}")
        server.execute(statement.format(Identifier(name), role, Identifier(template)))
        yield name
    finally:
        server.execute(SQL("DROP DATABASE IF EXISTS {} WITH (FORCE)").format(Identifier(name)))
