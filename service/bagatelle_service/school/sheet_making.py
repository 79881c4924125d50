"""Day sheets of stored plans: made once, stored with what they were made from, and made again to the byte."""

from collections.abc import Sequence
from datetime import date
from uuid import UUID

import msgspec
from bagatelle.card.rotation import only_needed
from bagatelle.card.sheet import make_sheet
from bagatelle.model.card import Card
from bagatelle.model.errors import NotMoreTimeError
from bagatelle.model.sheet import ASKS_LIMIT, Ask, DaySheet, MadeFrom
from msgspec import Struct
from msgspec.structs import replace
from sqlalchemy import select

from bagatelle_service.database.tables import PreparedPlanRevision
from bagatelle_service.school.card_bodies import read_body
from bagatelle_service.school.last_done import last_done_before
from bagatelle_service.school.plans_of_day import PlanOfDay
from bagatelle_service.school.work import Work


class MadeSheet(Struct, frozen=True, kw_only=True):
    """A sheet, and what it was made from."""

    made_from: MadeFrom
    sheet: DaySheet


def card_name(plan_id: UUID, revision: int) -> str:
    """Name the card of a plan's revision, as sheets and bundles do."""
    return f"{plan_id}/{revision}"


async def read_card_body(work: Work, plan_id: UUID, revision: int) -> bytes:
    """Read the card of a plan's revision that is known to be there, as JSON."""
    # The one column: what the plan was made with is of no use here.
    own = (PreparedPlanRevision.plan_id == plan_id) & (PreparedPlanRevision.number == revision)
    body = await work.session.scalar(select(PreparedPlanRevision.body).where(own))
    if body is None:
        raise LookupError("a plan names a revision that it does not have")
    return read_body(body)


async def read_card(work: Work, plan_id: UUID, revision: int) -> Card:
    """Read the card of a plan's revision that is known to be there."""
    return msgspec.json.decode(await read_card_body(work, plan_id, revision), type=Card)


async def make_from_logs(work: Work, student_id: UUID, plan: PlanOfDay, day: date, ask: Ask) -> MadeSheet:
    """Make the sheet of a day from the newest revision of a plan, and from what logs say of the days before."""
    card = await read_card(work, plan.plan_id, plan.revision)
    last_done = await last_done_before(work, student_id, plan.routine_id, day)
    name = card_name(plan.plan_id, plan.revision)
    # What no sheet of this card looks at is not stored.
    made_from = only_needed(card, MadeFrom(card=name, date=day, asks=(ask,), last_done=last_done))
    return MadeSheet(made_from=made_from, sheet=make_sheet(card, made_from))


def grow(card: Card, made_from: MadeFrom, ask: Ask) -> MadeSheet | None:
    """Make a day's sheet longer, with all that stood there; None where the day does not give more.

    A day that has grown as often as is kept does not grow either: its sheet can be made anew.
    """
    asks: Sequence[Ask] = (*made_from.asks, ask)
    if len(asks) > ASKS_LIMIT:
        return None
    longer = replace(made_from, asks=tuple(asks))
    try:
        return MadeSheet(made_from=longer, sheet=make_sheet(card, longer))
    except NotMoreTimeError:
        return None


def made_again(card: Card, made_from: str) -> str:
    """Make the body of a stored sheet again, from what is stored of what it was made from."""
    sheet = make_sheet(card, read_made_from(made_from))
    return msgspec.json.encode(sheet).decode()


def read_made_from(made_from: str) -> MadeFrom:
    """Read what a stored sheet was made from."""
    return msgspec.json.decode(made_from, type=MadeFrom)
