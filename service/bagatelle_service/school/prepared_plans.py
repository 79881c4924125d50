"""Plans prepared for short days: each with the answer that the engine gave, and with what it was made from."""

from datetime import datetime
from uuid import UUID, uuid4

from msgspec import Struct

from bagatelle_service.database.tables import PreparedPlan
from bagatelle_service.school.errors import MissingError
from bagatelle_service.school.routines import find_routine
from bagatelle_service.school.snapshots import Snapshot, keep_snapshot, read_snapshot
from bagatelle_service.school.work import Work


class PlanToKeep(Struct, frozen=True, kw_only=True):
    """A plan that the engine made."""

    routine_id: UUID
    routine_revision: int
    """The revision that it was made from."""
    kind: str
    """What it is prepared for, such as `minutes-10`."""
    answer: bytes
    """The engine's answer, unchanged."""
    snapshot: Snapshot


class KeptPlan(Struct, frozen=True, kw_only=True):
    """A plan as it was prepared."""

    id: UUID
    routine_id: UUID
    routine_revision: int
    kind: str
    answer: bytes
    snapshot: Snapshot
    created_at: datetime


async def keep_plan(work: Work, plan: PlanToKeep) -> UUID:
    """Store a plan with its snapshot, and return its id.

    :raises MissingError: where the school has no such routine.
    :raises NotAllowedError: where the caller does not reach its student.
    """
    routine = await find_routine(work, plan.routine_id)
    await keep_snapshot(work, plan.snapshot)
    row = PreparedPlan(
        school_id=work.school_id,
        id=uuid4(),
        routine_id=routine.id,
        routine_revision=plan.routine_revision,
        catalogue_hash=plan.snapshot.hash,
        kind=plan.kind,
        body=plan.answer.decode(),
        revision=1,
        created_at=work.now,
        archived_at=None,
    )
    work.session.add(row)
    await work.session.flush()
    return row.id


async def read_plan(work: Work, plan_id: UUID) -> KeptPlan:
    """Read a plan. No plugin is asked: it is as it was prepared, whatever became of them.

    :raises MissingError: where the school has no such plan.
    :raises NotAllowedError: where the caller does not reach the student whose it is.
    """
    row = await work.session.get(PreparedPlan, (work.school_id, plan_id))
    if row is None:
        raise MissingError("plan")
    await find_routine(work, row.routine_id)
    return KeptPlan(
        id=row.id,
        routine_id=row.routine_id,
        routine_revision=row.routine_revision,
        kind=row.kind,
        answer=row.body.encode(),
        snapshot=await read_snapshot(work, row.catalogue_hash),
        created_at=row.created_at,
    )
