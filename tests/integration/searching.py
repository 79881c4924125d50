"""Search everything that a database has: the bytes of SQLite's files, or every column of PostgreSQL's rows."""

from pathlib import Path

import psycopg
from psycopg.sql import SQL, Identifier
from sqlalchemy.engine import make_url

from tests.integration.databases import _test_url


def found_in(database_url: str, needles: dict[str, bytes]) -> set[str]:
    """Name the needles that are there."""
    if database_url.startswith("sqlite"):
        return found_in_files(Path(database_url.removeprefix("sqlite:///")), needles)
    return _found_in_rows(database_url, needles)


def found_in_files(database: Path, needles: dict[str, bytes]) -> set[str]:
    files = [path for path in database.parent.iterdir() if path.name.startswith(database.name)]
    assert database in files
    content = b"\n".join(path.read_bytes() for path in files)
    return {name for name, needle in needles.items() if needle in content}


def _found_in_rows(database_url: str, needles: dict[str, bytes]) -> set[str]:
    # As a superuser, from whom row-level security hides nothing.
    url = _test_url().set(database=make_url(database_url).database)
    with psycopg.connect(url.render_as_string(hide_password=False)) as connection:
        names = connection.execute("SELECT tablename FROM pg_tables WHERE schemaname = 'public'").fetchall()
        assert len(names) > 20
        content = "\n".join(
            row[0]
            for (name,) in names
            for row in connection.execute(SQL("SELECT t::text FROM {} AS t").format(Identifier(name)))
        )
    # Bytes are written in hexadecimal digits there.
    return {name for name, needle in needles.items() if needle.hex() in content or _text(needle) in content}


def _text(needle: bytes) -> str:
    try:
        return needle.decode()
    except UnicodeDecodeError:
        return needle.hex()
