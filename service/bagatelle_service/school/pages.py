"""Pages of a list: each ends with a cursor that says where the next begins."""

import base64
import binascii
from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from typing import Any, TypeVar
from uuid import UUID

from msgspec import Struct
from sqlalchemy import Select, tuple_
from sqlalchemy.ext.asyncio import AsyncSession

Row = TypeVar("Row")
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_BYTES = 24
_LAST_MICROSECONDS = (datetime(9999, 12, 31, tzinfo=UTC) - _EPOCH) // timedelta(microseconds=1)


class WrongCursorError(ValueError):
    """A cursor that no page of ours has ended with."""


class Page(Struct, frozen=True):
    """Which part of a list is wanted: by time of making, then by id."""

    limit: int
    after: tuple[datetime, UUID] | None = None


def cursor_of(created_at: datetime, row_id: UUID) -> str:
    """Write where a page ends."""
    microseconds = (created_at - _EPOCH) // timedelta(microseconds=1)
    return base64.urlsafe_b64encode(microseconds.to_bytes(8, "big") + row_id.bytes).decode()


def read_cursor(text: str) -> tuple[datetime, UUID]:
    """Read where a page ended.

    :raises WrongCursorError: where it is no cursor.
    """
    try:
        raw = base64.b64decode(text.encode("ascii"), altchars=b"-_", validate=True)
    except (binascii.Error, UnicodeEncodeError):
        raise WrongCursorError(text) from None
    if len(raw) != _BYTES:
        raise WrongCursorError(text)
    # Past what a moment can be, nothing follows.
    microseconds = min(int.from_bytes(raw[:8], "big"), _LAST_MICROSECONDS)
    return _EPOCH + timedelta(microseconds=microseconds), UUID(bytes=raw[8:])


async def rows_of_page(
    session: AsyncSession, statement: Select[Row], table: Any, page: Page
) -> tuple[Sequence[Row], str | None]:
    """Fetch one page of a list, and the cursor of the next; None where there is none."""
    if page.after is not None:
        statement = statement.where(tuple_(table.created_at, table.id) > page.after)
    statement = statement.order_by(table.created_at, table.id).limit(page.limit + 1)
    found = (await session.scalars(statement)).all()
    if len(found) <= page.limit:
        return found, None
    last: Any = found[page.limit - 1]
    return found[: page.limit], cursor_of(last.created_at, last.id)
