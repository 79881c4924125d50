"""The database of a command: opened, found to be at the newest revision, and closed."""

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

from sqlalchemy.exc import SQLAlchemyError

from bagatelle_service.database.connection import connect, database_url, in_one_line
from bagatelle_service.database.errors import StorageError
from bagatelle_service.database.migrating import (
    NotMigratedError,
    refuse_other_revision,
    sqlite_file,
)
from bagatelle_service.database.storage import Storage


@asynccontextmanager
async def opened_storage(url: str) -> AsyncIterator[Storage]:
    """Open the database that a command works on. It makes none.

    :raises SettingsError: where the URL is none that the service can use.
    :raises NotMigratedError: where there is no database, or one at another revision.
    :raises StorageError: where it is out of reach.
    """
    engine = connect(database_url(url))
    try:
        file = sqlite_file(engine.url)
        if file is not None and not file.exists():
            raise NotMigratedError(f"There is no database {file}. `bagatelle migrate` makes one.")
        try:
            await refuse_other_revision(engine)
        except (SQLAlchemyError, OSError) as error:
            raise StorageError(f"the database is out of reach: {in_one_line(error)}") from None
        yield Storage(engine)
    finally:
        await engine.dispose()
