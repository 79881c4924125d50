"""Which prepared plan a student's day is made from.

The routine is the one that is named; else that of the sheet which stands already; else, of the student's routines
that are not archived, the one whose plans were prepared last. The plan is the one of the day's kind. Where the
routine has none of that kind, another may stand in: for scraps and for little energy the usual one, on a quiet day
the one away from the instrument. For a day away from the instrument, or with something sore, nothing stands in:
whatever else there is would be played.
"""

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Final, cast
from uuid import UUID

from bagatelle.model.card import CardKind
from bagatelle.model.errors import FieldError
from bagatelle.wrong_fields import refuse
from msgspec import Struct
from sqlalchemy import select

from bagatelle_service.database.tables import PreparedPlan, PreparedPlanRevision, Routine
from bagatelle_service.school.errors import NotPreparedError
from bagatelle_service.school.work import Work

STANDS_IN: Final[Mapping[CardKind, CardKind]] = {
    "scraps": "usual",
    "low-energy": "usual",
    "quiet": "away",
}
"""By the kind that is missing; the others have none."""
_DAY_OF: Final[Mapping[CardKind, str]] = {
    "usual": "a usual day that is short",
    "scraps": "a day in scraps",
    "low-energy": "a day of little energy",
    "away": "a day away from the instrument",
    "quiet": "a quiet day",
    "resting": "a day with something sore",
}
_PREPARE: Final = "POST /v1/routines/{routine_id}/plans prepares it."


class PlanOfDay(Struct, frozen=True, kw_only=True):
    """A revision of a plan; what it holds is read when it is needed."""

    plan_id: UUID
    kind: CardKind
    revision: int
    routine_id: UUID
    prepared_at: datetime
    """When this revision was made."""
    is_open: bool
    """Whether neither it nor its routine is archived."""


async def plans_of_student(work: Work, student_id: UUID) -> Sequence[PlanOfDay]:
    """List the newest revisions of all plans of a student, the one prepared last first."""
    newest = (
        (PreparedPlanRevision.school_id == PreparedPlan.school_id)
        & (PreparedPlanRevision.plan_id == PreparedPlan.id)
        & (PreparedPlanRevision.number == PreparedPlan.revision)
    )
    own_routine = (Routine.school_id == PreparedPlan.school_id) & (Routine.id == PreparedPlan.routine_id)
    statement = (
        select(
            PreparedPlan.id,
            PreparedPlan.kind,
            PreparedPlan.revision,
            PreparedPlan.routine_id,
            PreparedPlanRevision.created_at,
            PreparedPlan.archived_at.is_(None) & Routine.archived_at.is_(None),
        )
        .join(PreparedPlanRevision, newest)
        .join(Routine, own_routine)
        .where(PreparedPlan.student_id == student_id)
    )
    plans = [
        PlanOfDay(
            plan_id=plan_id,
            kind=cast("CardKind", kind),
            revision=revision,
            routine_id=routine_id,
            prepared_at=prepared_at,
            is_open=is_open,
        )
        for plan_id, kind, revision, routine_id, prepared_at, is_open in await work.session.execute(statement)
    ]
    return sorted(plans, key=lambda plan: (plan.prepared_at, plan.routine_id), reverse=True)


def choose_routine(plans: Sequence[PlanOfDay], named: UUID | None, of_sheet: UUID | None = None) -> UUID:
    """Find the routine of a day.

    :param plans: as `plans_of_student` lists them.
    :param of_sheet: the routine of the sheet that stands already, where there is one.
    :raises InvalidInputError: where the one named has no plans, is archived, or is not the student's.
    :raises NotPreparedError: where no routine has any.
    """
    open_routines = [plan.routine_id for plan in plans if plan.is_open]
    if named is not None:
        if named not in open_routines:
            refuse([_no_such_routine()])
        return named
    if of_sheet is not None and of_sheet in open_routines:
        return of_sheet
    if not open_routines:
        raise NotPreparedError(f"No routine of the student has prepared plans. {_PREPARE}")
    return open_routines[0]


def choose_plan(plans: Sequence[PlanOfDay], routine_id: UUID, kind: CardKind) -> PlanOfDay:
    """Find the plan of a routine for a kind of day, or the one that stands in for it.

    :raises NotPreparedError: where the routine has neither.
    """
    by_kind = {plan.kind: plan for plan in plans if plan.is_open and plan.routine_id == routine_id}
    stands_in = STANDS_IN.get(kind)
    found = by_kind.get(kind) or (by_kind.get(stands_in) if stands_in is not None else None)
    if found is None:
        raise NotPreparedError(_not_prepared(kind))
    return found


def day_of_kind(kind: CardKind) -> str:
    """Say in words what a kind of day is."""
    return _DAY_OF[kind]


def _not_prepared(kind: CardKind) -> str:
    said = (
        f"The routine has no plan prepared for {_DAY_OF[kind]}, and none that may stand in for it. {_PREPARE}"
    )
    if kind == "resting":
        return (
            f"{said} Until then nothing is to be played: let what is sore rest, and ask a clinician about pain "
            "that stays or comes back."
        )
    return said


def _no_such_routine() -> FieldError:
    return FieldError(
        pointer="/routine",
        message="no routine of this id is the student's, open, and prepared",
        accepted="the id of a routine of the student that is not archived and has prepared plans, or none",
    )
