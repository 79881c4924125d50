"""Archived things: they stay as they were and open nothing, and can be brought back."""

from datetime import datetime
from typing import Any

from sqlalchemy import ColumnElement, true


def set_archived(row: Any, now: datetime, *, archived: bool) -> None:
    """Archive a row or bring it back. What is archived already keeps the time from which it was."""
    if not archived:
        row.archived_at = None
    elif row.archived_at is None:
        row.archived_at = now


def archived_as_wanted(table: Any, *, archived: bool | None) -> ColumnElement[bool]:
    """Say in SQL which rows are wanted: those archived, the others, or, for None, all."""
    if archived is None:
        return true()
    condition: ColumnElement[bool] = (
        table.archived_at.is_not(None) if archived else table.archived_at.is_(None)
    )
    return condition
