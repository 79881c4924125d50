"""Prepared plans as a school shows and changes them."""

from collections.abc import Sequence
from datetime import date, datetime
from typing import Annotated
from uuid import UUID

import msgspec
from bagatelle.card.kinds import KINDS
from bagatelle.model.card import Card, CardKind
from bagatelle.model.errors import FieldError
from bagatelle.wrong_fields import refuse
from msgspec import Meta, Struct

from bagatelle_service.database.tables import PreparedPlan, Routine
from bagatelle_service.engine_questions import Ask
from bagatelle_service.school.answers import Made, made
from bagatelle_service.school.fields import Revision
from bagatelle_service.school.plan_choices import (
    PlanChoices,
    read_choices,
    refuse_unknown_tasks,
)
from bagatelle_service.school.plan_sets import PlanFacts, RoutineFacts, SetFound, find_routines, find_sets
from bagatelle_service.school.plan_versions import LoadedVersions, Outdated, PlanVersions, read_versions
from bagatelle_service.school.prepared_plans import find_plan, read_plan
from bagatelle_service.school.routine_document import read_document
from bagatelle_service.school.routines import find_routine
from bagatelle_service.school.sessions import Sessions
from bagatelle_service.school.set_making import SetMade, SetOutcome, make_set
from bagatelle_service.school.set_preparation import again_where_overtaken, store_sets
from bagatelle_service.school.work import Work


class WantedSet(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What a routine is to be prepared for."""

    kinds: Annotated[tuple[CardKind, ...], Meta(min_length=1, max_length=len(KINDS))] | None = None
    """Each once; null: all kinds. The plans of other kinds stay as they are."""
    dry_run: bool = False
    """Whether only to show what would change; nothing is stored then."""


class SetAnswer(SetOutcome, frozen=True, kw_only=True):
    """What became of a routine's plans, or would."""

    student: UUID
    routine: UUID
    routine_revision: Revision
    """The revision that they are made from."""
    day: date
    """The student's own today: what is due is seen from there."""
    dry_run: bool


class PlanInList(Struct, frozen=True, kw_only=True):
    """A plan without its card."""

    id: UUID
    student: UUID
    routine: UUID
    kind: CardKind
    revision: Revision
    routine_revision: Revision
    """The routine's, that the plan was made from."""
    created_at: datetime
    """When this revision was made."""
    outdated: tuple[Outdated, ...]
    """Why it would not come out the same any more; empty where it would. Outdated plans stay usable."""


class PlansAnswer(Struct, frozen=True, kw_only=True):
    """The plans of a routine, in the order of the names of their kinds: one a kind at most."""

    plans: tuple[PlanInList, ...]
    next: None = None
    """Always null: there is one page."""


class PlanAnswer(PlanInList, frozen=True, kw_only=True):
    """A plan as it stands."""

    archived: bool
    """Whether the routine gave nothing for this kind when it was last prepared."""
    made_with: PlanVersions
    choices: PlanChoices
    card: Card


def refuse_repeated_kinds(kinds: Sequence[CardKind]) -> None:
    """See that each kind stands once.

    :raises InvalidInputError: where one stands twice.
    """
    refuse(
        FieldError(pointer=f"/kinds/{place}", message=f"{kind!r} stands twice", accepted="each kind once")
        for place, kind in enumerate(kinds)
        if kind in kinds[:place]
    )


async def prepare_set(sessions: Sessions, ask: Ask, routine_id: UUID, wanted: WantedSet) -> Made:
    """Prepare a routine, or show what would come of it.

    :raises MissingError: where the school has no such routine.
    :raises NotAllowedError: where the caller does not reach its student.
    :raises InvalidInputError: where a kind stands twice, or the routine cannot be planned any more.
    :raises ChangedMeanwhileError: where others were faster, again and again.
    """
    kinds = KINDS if wanted.kinds is None else wanted.kinds
    refuse_repeated_kinds(kinds)

    async def attempt() -> Made:
        async with sessions.open(writes=False) as work:
            found = await _find_set(work, await find_routine(work, routine_id))
        made_set = await make_set(ask, found, kinds)
        if wanted.dry_run:
            sessions.trail.was_read(work)
            return made(_set_answer(found, made_set.outcome(found.routine.places), dry_run=True))
        async with sessions.open(writes=True) as work:
            await work.student(found.routine.student_id)
            (outcome,) = await store_sets(work, (made_set,))
            work.session.add(work.entry())
        return made(_set_answer(found, outcome, dry_run=False))

    return await again_where_overtaken(attempt)


async def list_plans(work: Work, routine_id: UUID, loaded: LoadedVersions) -> Made:
    """List the plans of a routine, each with what makes it outdated.

    :raises MissingError: where the school has no such routine.
    :raises NotAllowedError: where the caller does not reach its student.
    """
    facts = await _facts(work, await find_routine(work, routine_id))
    shown = (plan for plan in facts.plans if not plan.place.is_archived)
    return made(PlansAnswer(plans=tuple(_in_list(facts, plan, loaded) for plan in shown)))


async def show_plan(work: Work, plan_id: UUID, loaded: LoadedVersions) -> Made:
    """Show a plan with its card.

    :raises MissingError: where the school has no such plan.
    :raises NotAllowedError: where the caller does not reach the student whose it is.
    """
    return await _shown(work, await find_plan(work, plan_id), loaded)


async def change_plan(
    sessions: Sessions, ask: Ask, plan_id: UUID, choices: PlanChoices, loaded: LoadedVersions
) -> Made:
    """Choose anew for a plan, and prepare it again.

    :raises MissingError: where the school has no such plan.
    :raises NotAllowedError: where the caller does not reach the student whose it is.
    :raises InvalidInputError: where a task is none of the routine's, or nothing would be left.
    :raises ChangedMeanwhileError: where somebody else was faster.
    """

    async def attempt() -> Made:
        async with sessions.open(writes=False) as work:
            plan = await find_plan(work, plan_id)
            work.expect(plan.revision)
            found = await _find_set(work, await find_routine(work, plan.routine_id))
        refuse_unknown_tasks(choices, read_document(found.document))
        made_set = await make_set(ask, found, (_kind(plan),), choices)
        _refuse_empty(made_set)
        async with sessions.open(writes=True) as work:
            # The routine first, as everybody does who prepares, so that none waits for the other.
            await find_routine(work, plan.routine_id, to_change=True)
            work.expect((await find_plan(work, plan_id)).revision)
            await store_sets(work, (made_set,))
            work.session.add(work.entry())
            work.session.expire_all()
            return await _shown(work, await find_plan(work, plan_id), loaded)

    return await again_where_overtaken(attempt)


async def _find_set(work: Work, routine: Routine) -> SetFound:
    (found,) = await find_sets(work, (await _facts(work, routine),))
    return found


async def _facts(work: Work, routine: Routine) -> RoutineFacts:
    (facts,) = await find_routines(work, Routine.id == routine.id)
    return facts


def _kind(plan: PreparedPlan) -> CardKind:
    kind: CardKind = msgspec.convert(plan.kind, CardKind)
    return kind


def _refuse_empty(made_set: SetMade) -> None:
    refuse(
        FieldError(
            pointer="",
            message=f"with these choices nothing is left. {each.because}",
            accepted="choices that leave a task",
        )
        for each in made_set.outcome({}).nothing_for
    )


def _set_answer(found: SetFound, outcome: SetOutcome, *, dry_run: bool) -> SetAnswer:
    return SetAnswer(
        student=found.routine.student_id,
        routine=found.routine.id,
        routine_revision=found.routine.revision,
        day=found.routine.day,
        dry_run=dry_run,
        plans=outcome.plans,
        nothing_for=outcome.nothing_for,
    )


def _in_list(routine: RoutineFacts, plan: PlanFacts, loaded: LoadedVersions) -> PlanInList:
    return PlanInList(
        id=plan.place.id,
        student=routine.student_id,
        routine=routine.id,
        kind=plan.kind,
        revision=plan.place.revision,
        routine_revision=plan.routine_revision,
        created_at=plan.created_at,
        outdated=routine.outdated(plan, loaded),
    )


async def _shown(work: Work, plan: PreparedPlan, loaded: LoadedVersions) -> Made:
    (routine,) = await find_routines(work, Routine.id == plan.routine_id)
    facts = next(each for each in routine.plans if each.kind == plan.kind)
    kept = await read_plan(work, plan)
    outdated = routine.outdated(facts, loaded)
    answer = PlanAnswer(
        id=plan.id,
        student=plan.student_id,
        routine=plan.routine_id,
        kind=facts.kind,
        revision=kept.revision,
        routine_revision=kept.routine_revision,
        created_at=kept.created_at,
        outdated=outdated,
        archived=facts.place.is_archived,
        made_with=read_versions(kept.made_with),
        choices=read_choices(kept.choices),
        card=msgspec.json.decode(kept.card, type=Card),
    )
    return made(answer, plan.revision, f"/v1/plans/{plan.id}", besides=outdated)
