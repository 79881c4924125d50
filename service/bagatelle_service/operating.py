"""What `bagatelle school` and `bagatelle operator` do: the operator's work without HTTP."""

import asyncio
from collections.abc import Awaitable, Callable
from datetime import UTC, datetime
from typing import TypeVar

import msgspec
from sqlalchemy.exc import SQLAlchemyError

from bagatelle_service.database.connection import connect, database_url, in_one_line
from bagatelle_service.database.errors import StorageError
from bagatelle_service.database.migrating import NotMigratedError, prepare
from bagatelle_service.database.storage import Storage
from bagatelle_service.school.operators import make_operator_token, make_school_by_command
from bagatelle_service.school.schools import NewSchool, NewSchoolAnswer
from bagatelle_service.settings import SettingsError, settings_from_environment

Result = TypeVar("Result")


class CannotOperateError(Exception):
    """The operator's command cannot be done. Says why, and what would help."""


def create_school(name: str, owner_name: str) -> NewSchoolAnswer:
    """Make a school with its owner and the owner's token.

    :raises CannotOperateError: where a name is none, or the database cannot be used.
    """
    body = NewSchool(name=name, owner_name=owner_name)
    try:
        msgspec.convert(msgspec.to_builtins(body), NewSchool)
    except (msgspec.ValidationError, UnicodeEncodeError):
        raise CannotOperateError(
            "a name cannot be used; accepted: a school's of 1 to 200 characters, an owner's of 1 to 100, without "
            "control characters"
        ) from None
    return _with_storage(lambda storage: make_school_by_command(storage, body, datetime.now(UTC)))


def create_operator_token() -> str:
    """Make a token of the operator's, and return its secret.

    :raises CannotOperateError: where the database cannot be used.
    """
    return _with_storage(lambda storage: make_operator_token(storage, datetime.now(UTC)))


def _with_storage(act: Callable[[Storage], Awaitable[Result]]) -> Result:
    try:
        return asyncio.run(_act(act, settings_from_environment().database_url))
    except (SettingsError, NotMigratedError, FileNotFoundError) as error:
        raise CannotOperateError(str(error)) from error
    except (SQLAlchemyError, OSError) as error:
        raise CannotOperateError(f"the database is out of reach: {in_one_line(error)}") from error
    except StorageError as error:
        raise CannotOperateError(f"the database refused it: {error}. Nothing was made.") from error


async def _act(act: Callable[[Storage], Awaitable[Result]], url: str) -> Result:
    engine = connect(database_url(url))
    try:
        await prepare(engine)
        return await act(Storage(engine))
    finally:
        await engine.dispose()
