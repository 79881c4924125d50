"""Plans prepared for hard days: each revision with its card, and with what it was made from."""

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any
from uuid import UUID, uuid4

from msgspec import Struct
from msgspec.structs import replace
from sqlalchemy import insert, select, update

from bagatelle_service.database.tables import PreparedPlan, PreparedPlanRevision, Routine
from bagatelle_service.school.card_bodies import read_body, write_body
from bagatelle_service.school.errors import MissingError
from bagatelle_service.school.kept_snapshots import keep_snapshot
from bagatelle_service.school.snapshots import Snapshot
from bagatelle_service.school.work import Work


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


class CardToKeep(Struct, frozen=True, kw_only=True):
    """A card of a set, to be stored as a new revision of the plan of its kind."""

    kind: str
    body: bytes
    """As `card_bodies` writes it."""
    made_with: str
    choices: str


class SetToKeep(Struct, frozen=True, kw_only=True):
    """What a routine was prepared into, to be stored."""

    routine_id: UUID
    student_id: UUID
    routine_revision: int
    """The revision that it was made from."""
    cards: Sequence[CardToKeep]
    """Those that are new or have changed."""
    empty_kinds: Sequence[str]
    """Those that the routine gives nothing for: plans of them are archived."""
    snapshot: Snapshot


class PlanPlace(Struct, frozen=True, kw_only=True):
    """Which plan is there, of a kind."""

    id: UUID
    revision: int
    is_archived: bool


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
    there = (await places_of(work, (routine.id,)))[routine.id]
    kept = await keep_set(work, of_set, there)
    key = (work.school_id, kept[plan.kind].id)
    return await work.session.get_one(PreparedPlan, key, populate_existing=True)


async def places_of(work: Work, routine_ids: Sequence[UUID]) -> Mapping[UUID, Mapping[str, PlanPlace]]:
    """Find which plans routines have, archived ones too, by their kinds."""
    plans = PreparedPlan
    statement = select(plans.routine_id, plans.kind, plans.id, plans.revision, plans.archived_at)
    found: dict[UUID, dict[str, PlanPlace]] = {routine_id: {} for routine_id in routine_ids}
    for row in await work.session.execute(statement.where(plans.routine_id.in_(routine_ids))):
        place = PlanPlace(id=row.id, revision=row.revision, is_archived=row.archived_at is not None)
        found[row.routine_id][row.kind] = place
    return found


async def keep_set(work: Work, made: SetToKeep, there: Mapping[str, PlanPlace]) -> Mapping[str, PlanPlace]:
    """Store a set of a routine that the caller reaches, in few statements; and where its plans are now.

    :param there: the plans that the routine has. It must be held meanwhile, so that nobody else prepares it.
    """
    after = dict(there)
    for card in made.cards:
        old = there.get(card.kind)
        after[card.kind] = PlanPlace(
            id=uuid4() if old is None else old.id,
            revision=1 if old is None else old.revision + 1,
            is_archived=False,
        )
    if made.cards:
        await keep_snapshot(work, made.snapshot)
        await _make_plans(work, made, {kind: after[kind] for kind in after.keys() - there.keys()})
        changed = [after[card.kind].id for card in made.cards if card.kind in there]
        await _change(work, changed, revision=PreparedPlan.revision + 1, archived_at=None)
        await _make_revisions(work, made, after)
    emptied = [kind for kind in made.empty_kinds if kind in there and not there[kind].is_archived]
    await _change(work, [there[kind].id for kind in emptied], archived_at=work.now)
    return after | {kind: replace(there[kind], is_archived=True) for kind in emptied}


async def _make_plans(work: Work, made: SetToKeep, new: Mapping[str, PlanPlace]) -> None:
    if not new:
        return
    rows = [
        {
            "school_id": work.school_id,
            "id": place.id,
            "student_id": made.student_id,
            "routine_id": made.routine_id,
            "kind": kind,
            "revision": place.revision,
            "created_at": work.now,
            "archived_at": None,
        }
        for kind, place in new.items()
    ]
    await work.session.execute(insert(PreparedPlan), rows)


async def _make_revisions(work: Work, made: SetToKeep, after: Mapping[str, PlanPlace]) -> None:
    rows = [
        {
            "school_id": work.school_id,
            "plan_id": after[card.kind].id,
            "number": after[card.kind].revision,
            "routine_id": made.routine_id,
            "routine_revision": made.routine_revision,
            "catalogue_hash": made.snapshot.hash,
            "made_with": card.made_with,
            "choices": card.choices,
            "body": card.body,
            "created_at": work.now,
        }
        for card in made.cards
    ]
    await work.session.execute(insert(PreparedPlanRevision), rows)


async def _change(work: Work, plan_ids: Sequence[UUID], **values: Any) -> None:
    if plan_ids:
        statement = update(PreparedPlan).where(PreparedPlan.id.in_(plan_ids)).values(**values)
        await work.session.execute(statement.execution_options(synchronize_session=False))


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


async def plans_of_routine(work: Work, routine_id: UUID) -> Sequence[PreparedPlan]:
    """List the plans of a routine that the caller reaches, in the order of their kinds."""
    statement = select(PreparedPlan).where(
        PreparedPlan.routine_id == routine_id, PreparedPlan.archived_at.is_(None)
    )
    return (await work.session.scalars(statement.order_by(PreparedPlan.kind))).all()


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
