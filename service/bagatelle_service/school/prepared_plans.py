"""Plans prepared for hard days: each revision with its card, and with what it was made from."""

from datetime import datetime
from uuid import UUID

from msgspec import Struct

from bagatelle_service.database.tables import PreparedPlan, PreparedPlanRevision
from bagatelle_service.school.card_bodies import read_body
from bagatelle_service.school.errors import MissingError
from bagatelle_service.school.work import Work


class KeptPlan(Struct, frozen=True, kw_only=True):
    """A revision of a plan, as it was prepared."""

    id: UUID
    kind: str
    revision: int
    routine_id: UUID
    routine_revision: int
    card: bytes
    made_with: str
    choices: str
    catalogue_hash: str
    created_at: datetime


async def find_plan(work: Work, plan_id: UUID, *, to_change: bool = False) -> PreparedPlan:
    """Find a plan of a student whom the caller reaches; the work is about that student from now on.

    :raises MissingError: where the school has no such plan.
    :raises NotAllowedError: where the caller does not reach the student whose it is.
    """
    row = await work.session.get(PreparedPlan, (work.school_id, plan_id), with_for_update=to_change or None)
    if row is None:
        raise MissingError("plan")
    await work.student(row.student_id)
    return row


async def read_plan(work: Work, plan: PreparedPlan, number: int | None = None) -> KeptPlan:
    """Read a revision of a plan, the newest where none is named. No plugin is asked.

    :raises MissingError: where the plan has no such revision.
    """
    key = (work.school_id, plan.id, plan.revision if number is None else number)
    row = await work.session.get(PreparedPlanRevision, key)
    if row is None:
        raise MissingError("revision")
    return KeptPlan(
        id=plan.id,
        kind=plan.kind,
        revision=row.number,
        routine_id=row.routine_id,
        routine_revision=row.routine_revision,
        card=read_body(row.body),
        made_with=row.made_with,
        choices=row.choices,
        catalogue_hash=row.catalogue_hash,
        created_at=row.created_at,
    )
