"""The revisions of a prepared plan: what it was, never changed."""

from datetime import datetime
from typing import Final
from uuid import UUID

import msgspec
from bagatelle.model.card import Card, CardKind
from msgspec import Struct
from sqlalchemy import select

from bagatelle_service.database.tables import PreparedPlanRevision
from bagatelle_service.school.answers import Made, made
from bagatelle_service.school.errors import MissingError
from bagatelle_service.school.fields import Revision
from bagatelle_service.school.pages import Page, cursor_of
from bagatelle_service.school.plan_choices import PlanChoices, read_choices
from bagatelle_service.school.plan_versions import PlanVersions, read_versions
from bagatelle_service.school.prepared_plans import find_plan, read_plan
from bagatelle_service.school.work import Work

_LARGEST: Final = 2**31 - 1
"""What the column holds."""


class PlanRevisionInList(Struct, frozen=True, kw_only=True):
    """A revision without its card."""

    number: Revision
    created_at: datetime
    routine_revision: Revision
    """The routine's, that it was made from."""


class PlanRevisionsAnswer(Struct, frozen=True, kw_only=True):
    """One page of revisions, the oldest first."""

    revisions: tuple[PlanRevisionInList, ...]
    next: str | None
    """The cursor of the next page; null where this is the last."""


class PlanRevisionAnswer(PlanRevisionInList, frozen=True, kw_only=True):
    """A plan as it stood."""

    plan: UUID
    kind: CardKind
    made_with: PlanVersions
    choices: PlanChoices
    """Their tasks by the keys that the routine had."""
    card: Card


async def list_plan_revisions(work: Work, plan_id: UUID, page: Page) -> Made:
    """List the revisions of a plan.

    :raises MissingError: where the school has no such plan.
    :raises NotAllowedError: where the caller does not reach the student whose it is.
    """
    plan = await find_plan(work, plan_id)
    revisions = PreparedPlanRevision
    statement = select(revisions.number, revisions.created_at, revisions.routine_revision)
    statement = statement.where(revisions.plan_id == plan.id)
    if page.after is not None:
        # Revisions have numbers, which stand in the cursor in an id's place.
        statement = statement.where(revisions.number > min(page.after[1].int, _LARGEST))
    found = (await work.session.execute(statement.order_by(revisions.number).limit(page.limit + 1))).all()
    shown = found[: page.limit]
    following = None
    if len(found) > len(shown):
        following = cursor_of(shown[-1].created_at, UUID(int=shown[-1].number))
    listed = tuple(
        PlanRevisionInList(
            number=row.number, created_at=row.created_at, routine_revision=row.routine_revision
        )
        for row in shown
    )
    return made(PlanRevisionsAnswer(revisions=listed, next=following))


async def show_plan_revision(work: Work, plan_id: UUID, number: int) -> Made:
    """Show a plan as it stood.

    :raises MissingError: where the school has no such plan, or the plan no such revision.
    :raises NotAllowedError: where the caller does not reach the student whose it is.
    """
    plan = await find_plan(work, plan_id)
    if number > _LARGEST:
        raise MissingError("revision")
    kept = await read_plan(work, plan, number)
    answer = PlanRevisionAnswer(
        number=kept.revision,
        created_at=kept.created_at,
        routine_revision=kept.routine_revision,
        plan=plan.id,
        kind=msgspec.convert(kept.kind, CardKind),
        made_with=read_versions(kept.made_with),
        choices=read_choices(kept.choices),
        card=msgspec.json.decode(kept.card, type=Card),
    )
    return made(answer)
