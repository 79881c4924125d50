"""Plans stored beneath HTTP, one at a time, as tests have made them."""

from bagatelle_service.database.tables import PreparedPlan, Routine
from bagatelle_service.school.card_bodies import write_body
from bagatelle_service.school.kept_sets import CardToKeep, SetToKeep, keep_sets, places_of
from bagatelle_service.school.snapshots import Snapshot
from bagatelle_service.school.work import Work
from msgspec import Struct


class PlanToKeep(Struct, frozen=True, kw_only=True):
    """A plan that was made, to be stored."""

    routine_revision: int
    """The revision that it was made from."""
    kind: str
    """What it is prepared for, such as `low-energy`."""
    card: bytes
    """As JSON."""
    made_with: str
    """Versions of engine, policy and plugins, as JSON."""
    choices: str
    """What somebody chose for this plan beside its routine, as JSON."""
    snapshot: Snapshot


async def keep_plan(work: Work, routine: Routine, plan: PlanToKeep) -> PreparedPlan:
    """Store a plan of a routine that the caller reaches: a new one, or a new revision of the one of its kind."""
    card = CardToKeep(
        kind=plan.kind, body=write_body(plan.card), made_with=plan.made_with, choices=plan.choices
    )
    of_set = SetToKeep(
        routine_id=routine.id,
        student_id=routine.student_id,
        routine_revision=plan.routine_revision,
        cards=(card,),
        empty_kinds=(),
        snapshot=plan.snapshot,
    )
    kept = await keep_sets(work, (of_set,), await places_of(work, (routine.id,)))
    key = (work.school_id, kept[routine.id][plan.kind].id)
    return await work.session.get_one(PreparedPlan, key, populate_existing=True)
