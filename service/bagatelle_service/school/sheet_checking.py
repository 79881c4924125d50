"""Making every stored sheet again: whether each is still what it was made from, to the byte."""

from collections.abc import AsyncIterator
from datetime import date
from typing import Any, Final
from uuid import UUID

import msgspec
from bagatelle.model.card import Card
from msgspec import Struct
from sqlalchemy import and_, select, tuple_

from bagatelle_service.database.storage import Storage
from bagatelle_service.database.tables import DaySheet, PreparedPlanRevision
from bagatelle_service.school.card_bodies import read_body
from bagatelle_service.school.erasures import schools_of
from bagatelle_service.school.sheet_making import made_again

_AT_ONCE: Final = 500


class CheckedSheet(Struct, frozen=True, kw_only=True):
    """A stored sheet that was made again."""

    school_id: UUID
    student_id: UUID
    day: date
    is_same: bool


async def check_sheets(storage: Storage) -> AsyncIterator[CheckedSheet]:
    """Make every stored sheet of every school again, and say of each whether it is what is stored."""
    for school in await schools_of(storage):
        after: tuple[UUID, date] | None = None
        while rows := await _some(storage, school.id, after):
            for row in rows:
                card = msgspec.json.decode(read_body(row.card), type=Card)
                is_same = made_again(card, row.made_from) == row.body
                yield CheckedSheet(
                    school_id=school.id, student_id=row.student_id, day=row.day, is_same=is_same
                )
            after = (rows[-1].student_id, rows[-1].day)


async def _some(storage: Storage, school_id: UUID, after: tuple[UUID, date] | None) -> Any:
    of_its_plan = and_(
        PreparedPlanRevision.school_id == DaySheet.school_id,
        PreparedPlanRevision.plan_id == DaySheet.plan_id,
        PreparedPlanRevision.number == DaySheet.plan_revision,
    )
    statement = select(
        DaySheet.student_id,
        DaySheet.day,
        DaySheet.made_from,
        DaySheet.body,
        PreparedPlanRevision.body.label("card"),
    ).join(PreparedPlanRevision, of_its_plan)
    if after is not None:
        statement = statement.where(tuple_(DaySheet.student_id, DaySheet.day) > after)
    statement = statement.order_by(DaySheet.student_id, DaySheet.day).limit(_AT_ONCE)
    async with storage.read(school_id) as session:
        return (await session.execute(statement)).all()
