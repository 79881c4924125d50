"""Storing what routines were prepared into: whole sets of plans, of several routines at once, in few statements."""

from collections.abc import Mapping, Sequence
from typing import Any
from uuid import UUID, uuid4

from msgspec import Struct
from msgspec.structs import replace
from sqlalchemy import insert, select, update

from bagatelle_service.database.tables import PreparedPlan, PreparedPlanRevision
from bagatelle_service.school.kept_snapshots import keep_snapshots
from bagatelle_service.school.snapshots import Snapshot
from bagatelle_service.school.work import Work

Places = Mapping[str, "PlanPlace"]
"""Where the plans of a routine are, by their kinds."""


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


async def places_of(work: Work, routine_ids: Sequence[UUID]) -> Mapping[UUID, Places]:
    """Find which plans routines have, archived ones too, by their kinds."""
    plans = PreparedPlan
    statement = select(plans.routine_id, plans.kind, plans.id, plans.revision, plans.archived_at)
    found: dict[UUID, dict[str, PlanPlace]] = {routine_id: {} for routine_id in routine_ids}
    for row in await work.session.execute(statement.where(plans.routine_id.in_(routine_ids))):
        place = PlanPlace(id=row.id, revision=row.revision, is_archived=row.archived_at is not None)
        found[row.routine_id][row.kind] = place
    return found


async def keep_sets(
    work: Work, sets: Sequence[SetToKeep], there: Mapping[UUID, Places]
) -> Mapping[UUID, Places]:
    """Store sets of routines of students whom the caller reaches; and where the plans of each routine are now.

    :param there: the plans that the routines have. These must be held meanwhile, so that nobody else prepares them.
    """
    after = {each.routine_id: _after(each, there[each.routine_id]) for each in sets}
    changed = [each for each in sets if each.cards]
    if changed:
        await keep_snapshots(work, [each.snapshot for each in changed])
        await _make_plans(work, changed, there, after)
        again = [
            after[each.routine_id][card.kind].id
            for each in changed
            for card in each.cards
            if card.kind in there[each.routine_id]
        ]
        await _change(work, again, revision=PreparedPlan.revision + 1, archived_at=None)
        await _make_revisions(work, changed, after)
    emptied = [
        there[each.routine_id][kind].id for each in sets for kind in _emptied(each, there[each.routine_id])
    ]
    await _change(work, emptied, archived_at=work.now)
    return after


def _after(made: SetToKeep, there: Places) -> Places:
    after = dict(there)
    for card in made.cards:
        old = there.get(card.kind)
        after[card.kind] = PlanPlace(
            id=uuid4() if old is None else old.id,
            revision=1 if old is None else old.revision + 1,
            is_archived=False,
        )
    return after | {kind: replace(there[kind], is_archived=True) for kind in _emptied(made, there)}


def _emptied(made: SetToKeep, there: Places) -> Sequence[str]:
    return [kind for kind in made.empty_kinds if kind in there and not there[kind].is_archived]


async def _make_plans(
    work: Work, sets: Sequence[SetToKeep], there: Mapping[UUID, Places], after: Mapping[UUID, Places]
) -> None:
    rows = [
        {
            "school_id": work.school_id,
            "id": place.id,
            "student_id": each.student_id,
            "routine_id": each.routine_id,
            "kind": kind,
            "revision": place.revision,
            "created_at": work.now,
            "archived_at": None,
        }
        for each in sets
        for kind, place in after[each.routine_id].items()
        if kind not in there[each.routine_id]
    ]
    if rows:
        await work.session.execute(insert(PreparedPlan), rows)


async def _make_revisions(work: Work, sets: Sequence[SetToKeep], after: Mapping[UUID, Places]) -> None:
    rows = [
        {
            "school_id": work.school_id,
            "plan_id": after[each.routine_id][card.kind].id,
            "number": after[each.routine_id][card.kind].revision,
            "routine_id": each.routine_id,
            "routine_revision": each.routine_revision,
            "catalogue_hash": each.snapshot.hash,
            "made_with": card.made_with,
            "choices": card.choices,
            "body": card.body,
            "created_at": work.now,
        }
        for each in sets
        for card in each.cards
    ]
    await work.session.execute(insert(PreparedPlanRevision), rows)


async def _change(work: Work, plan_ids: Sequence[UUID], **values: Any) -> None:
    if plan_ids:
        statement = update(PreparedPlan).where(PreparedPlan.id.in_(plan_ids)).values(**values)
        await work.session.execute(statement.execution_options(synchronize_session=False))
