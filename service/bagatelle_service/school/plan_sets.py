"""Reading what a routine was prepared into, and what a new preparation needs, in few queries."""

from collections.abc import Mapping, Sequence
from datetime import date, datetime
from typing import Any
from uuid import UUID

from bagatelle.model.card import CardKind
from bagatelle.progress.days import day_of
from msgspec import Struct
from sqlalchemy import ColumnElement, and_, select

from bagatelle_service.database.tables import (
    PreparedPlan,
    PreparedPlanRevision,
    Routine,
    RoutineRevision,
    Student,
)
from bagatelle_service.school.kept_sets import PlanPlace
from bagatelle_service.school.plan_versions import LoadedVersions, Outdated, outdated_by, read_versions
from bagatelle_service.school.work import Work


class PlanFacts(Struct, frozen=True, kw_only=True):
    """A plan as its newest revision has it, without the card."""

    kind: CardKind
    place: PlanPlace
    routine_revision: int
    made_with: str
    choices: str
    catalogue_hash: str
    created_at: datetime
    """Of the revision."""


class RoutineFacts(Struct, frozen=True, kw_only=True):
    """A routine of a student, and what it was prepared into."""

    id: UUID
    student_id: UUID
    revision: int
    """The newest."""
    day: date
    """The student's own today."""
    plans: tuple[PlanFacts, ...]
    """In the order of their kinds' names; archived ones too."""

    @property
    def places(self) -> Mapping[str, PlanPlace]:
        """Where its plans are, by their kinds."""
        return {plan.kind: plan.place for plan in self.plans}

    def outdated(self, plan: PlanFacts, loaded: LoadedVersions) -> tuple[Outdated, ...]:
        """List why a plan of it is outdated."""
        versions = read_versions(plan.made_with)
        return outdated_by(versions, plan.routine_revision, self.revision, loaded, self.day)


class SetFound(Struct, frozen=True, kw_only=True):
    """A routine with all that a new preparation needs."""

    routine: RoutineFacts
    document: str
    """Of the newest revision, as it is stored."""
    bodies: Mapping[UUID, bytes]
    """Of the newest revision of each plan, as it is stored."""


async def find_routines(work: Work, which: ColumnElement[bool]) -> Sequence[RoutineFacts]:
    """Find routines by what is said of them and their students, in the order of students and of making.

    Whether the caller reaches the students is for whoever asks to see.
    """
    statement = (
        select(Routine.id, Routine.student_id, Routine.revision, Student.time_zone)
        .join(Student, and_(Student.school_id == Routine.school_id, Student.id == Routine.student_id))
        .where(which)
        .order_by(Routine.student_id, Routine.created_at, Routine.id)
    )
    rows = (await work.session.execute(statement)).all()
    plans = await _plans_of(work, [row.id for row in rows])
    return [
        RoutineFacts(
            id=row.id,
            student_id=row.student_id,
            revision=row.revision,
            day=day_of(work.now, row.time_zone),
            plans=tuple(plans.get(row.id, ())),
        )
        for row in rows
    ]


async def find_sets(work: Work, routines: Sequence[RoutineFacts]) -> Sequence[SetFound]:
    """Read what routines hold, and the cards of their plans."""
    ids = [routine.id for routine in routines]
    newest = and_(
        RoutineRevision.school_id == Routine.school_id,
        RoutineRevision.routine_id == Routine.id,
        RoutineRevision.number == Routine.revision,
    )
    documents = await work.session.execute(
        select(Routine.id, RoutineRevision.body).join(RoutineRevision, newest).where(Routine.id.in_(ids))
    )
    body_of = {row.id: row.body for row in documents}
    bodies: dict[UUID, dict[UUID, bytes]] = {routine_id: {} for routine_id in ids}
    if any(routine.plans for routine in routines):
        of_newest = select(PreparedPlan.id, PreparedPlan.routine_id, PreparedPlanRevision.body)
        of_newest = of_newest.join(PreparedPlanRevision, _newest_of_plan())
        for row in await work.session.execute(of_newest.where(PreparedPlan.routine_id.in_(ids))):
            bodies[row.routine_id][row.id] = row.body
    return [
        SetFound(routine=routine, document=body_of[routine.id], bodies=bodies[routine.id])
        for routine in routines
    ]


async def _plans_of(work: Work, routine_ids: Sequence[UUID]) -> Mapping[UUID, Sequence[PlanFacts]]:
    plans, revisions = PreparedPlan, PreparedPlanRevision
    statement = (
        select(
            plans.id,
            plans.routine_id,
            plans.kind,
            plans.revision,
            plans.archived_at,
            revisions.routine_revision,
            revisions.made_with,
            revisions.choices,
            revisions.catalogue_hash,
            revisions.created_at,
        )
        .join(revisions, _newest_of_plan())
        .where(plans.routine_id.in_(routine_ids))
        .order_by(plans.kind)
    )
    found: dict[UUID, list[PlanFacts]] = {}
    if routine_ids:
        for row in await work.session.execute(statement):
            found.setdefault(row.routine_id, []).append(_facts(row))
    return found


def _newest_of_plan() -> ColumnElement[bool]:
    return and_(
        PreparedPlanRevision.school_id == PreparedPlan.school_id,
        PreparedPlanRevision.plan_id == PreparedPlan.id,
        PreparedPlanRevision.number == PreparedPlan.revision,
    )


def _facts(row: Any) -> PlanFacts:
    return PlanFacts(
        kind=row.kind,
        place=PlanPlace(id=row.id, revision=row.revision, is_archived=row.archived_at is not None),
        routine_revision=row.routine_revision,
        made_with=row.made_with,
        choices=row.choices,
        catalogue_hash=row.catalogue_hash,
        created_at=row.created_at,
    )
