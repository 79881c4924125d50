"""Backups of a database, and bringing one back."""

import sqlite3
from collections.abc import Callable
from pathlib import Path

import psycopg
from psycopg.sql import SQL, Identifier
from sqlalchemy.engine import make_url

from tests.integration.databases import _test_url


def back_up(database_url: str, folder: Path) -> Callable[[], None]:
    """Back a database up as it is; what is returned brings it back. Nothing may use the database then."""
    if database_url.startswith("sqlite"):
        return _sqlite(Path(database_url.removeprefix("sqlite:///")), folder / "backup.sqlite3")
    return _postgresql(database_url)


def _sqlite(database: Path, backup: Path) -> Callable[[], None]:
    copy(database, backup)

    def restore() -> None:
        for path in database.parent.iterdir():
            if path.name.startswith(database.name):
                path.unlink()
        copy(backup, database)

    return restore


def copy(source: Path, target: Path) -> None:
    """Copy by SQLite's own means for backups."""
    reading, writing = sqlite3.connect(source), sqlite3.connect(target)
    try:
        reading.backup(writing)
    finally:
        reading.close()
        writing.close()


def _postgresql(database_url: str) -> Callable[[], None]:
    # As a superuser, from whom row-level security hides nothing and who may put rows back in any order.
    url = _test_url().set(database=make_url(database_url).database).render_as_string(hide_password=False)
    with psycopg.connect(url) as connection:
        names = [
            name
            for (name,) in connection.execute("SELECT tablename FROM pg_tables WHERE schemaname = 'public'")
        ]
        rows = {}
        for name in names:
            with connection.cursor().copy(SQL("COPY {} TO STDOUT").format(Identifier(name))) as reading:
                rows[name] = b"".join(map(bytes, reading))

    def restore() -> None:
        with psycopg.connect(url) as connection:
            connection.execute("SET session_replication_role = replica")
            tables = SQL(", ").join(map(Identifier, names))
            connection.execute(SQL("TRUNCATE {}").format(tables))
            for name in names:
                with connection.cursor().copy(SQL("COPY {} FROM STDIN").format(Identifier(name))) as writing:
                    writing.write(rows[name])

    return restore
