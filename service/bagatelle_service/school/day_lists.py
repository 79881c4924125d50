"""A student's stored day sheets, in short."""

from datetime import date, datetime
from uuid import UUID

import msgspec
from bagatelle.model.card import CardKind
from msgspec import Struct
from sqlalchemy import select

from bagatelle_service.database.tables import DaySheet
from bagatelle_service.school.answers import Made, made
from bagatelle_service.school.fields import Revision
from bagatelle_service.school.pages import Page, cursor_of
from bagatelle_service.school.work import Work


class DayInList(Struct, frozen=True, kw_only=True):
    """A stored day sheet without its steps."""

    date: date
    revision: Revision
    made_at: datetime
    plan: UUID
    plan_revision: Revision
    kind: CardKind
    given_seconds: int
    """All windows of the day together."""
    planned_seconds: int
    """Doses and set-ups; rests are not counted."""
    steps: int
    """How many there are to do; rests are not counted."""


class DaysAnswer(Struct, frozen=True, kw_only=True):
    """One page of a student's stored day sheets, the earliest date first."""

    days: tuple[DayInList, ...]
    next: str | None
    """The cursor of the next page; null where this is the last."""


class WantedDays(Struct, frozen=True, kw_only=True):
    """Which days are wanted."""

    page: Page
    first: date | None = None
    last: date | None = None


class _Window(Struct, frozen=True):
    seconds: int


class _Step(Struct, frozen=True):
    kind: str


class _SheetInShort(Struct, frozen=True):
    """What of a stored sheet a list shows."""

    kind: CardKind
    windows: tuple[_Window, ...]
    steps: tuple[_Step, ...]
    planned_seconds: int


async def list_days(work: Work, student_id: UUID, wanted: WantedDays) -> Made:
    """List a student's stored day sheets.

    :raises MissingError: where the school has no such student.
    :raises NotAllowedError: where the caller does not reach them.
    """
    student = await work.student(student_id)
    statement = select(DaySheet).where(DaySheet.student_id == student.id)
    if wanted.first is not None:
        statement = statement.where(DaySheet.day >= wanted.first)
    if wanted.last is not None:
        statement = statement.where(DaySheet.day <= wanted.last)
    if wanted.page.after is not None:
        # A student's sheets have dates, which stand in the cursor in an id's place.
        ordinal = min(max(wanted.page.after[1].int, 1), date.max.toordinal())
        statement = statement.where(DaySheet.day > date.fromordinal(ordinal))
    found = (await work.session.scalars(statement.order_by(DaySheet.day).limit(wanted.page.limit + 1))).all()
    shown = found[: wanted.page.limit]
    following = None
    if len(found) > len(shown):
        following = cursor_of(shown[-1].created_at, UUID(int=shown[-1].day.toordinal()))
    return made(DaysAnswer(days=tuple(map(_in_list, shown)), next=following))


def _in_list(row: DaySheet) -> DayInList:
    sheet = msgspec.json.decode(row.body, type=_SheetInShort)
    return DayInList(
        date=row.day,
        revision=row.revision,
        made_at=row.created_at,
        plan=row.plan_id,
        plan_revision=row.plan_revision,
        kind=sheet.kind,
        given_seconds=sum(window.seconds for window in sheet.windows),
        planned_seconds=sheet.planned_seconds,
        steps=sum(step.kind == "task" for step in sheet.steps),
    )
