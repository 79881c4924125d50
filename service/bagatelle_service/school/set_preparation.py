"""Preparing the routines of one student: read, asked of the engine with no transaction open, and stored.

Where somebody was faster in between, it is done again from what there is then.
"""

from collections.abc import Awaitable, Callable, Sequence
from typing import Final, TypeVar
from uuid import UUID

from bagatelle.card.kinds import KINDS
from bagatelle.model.card import CardKind
from msgspec import Struct
from sqlalchemy import select

from bagatelle_service.database.tables import Routine
from bagatelle_service.engine_questions import Ask
from bagatelle_service.school.errors import ChangedMeanwhileError
from bagatelle_service.school.plan_sets import SetFound, find_routines, find_sets
from bagatelle_service.school.prepared_plans import keep_set, places_of
from bagatelle_service.school.sessions import Sessions
from bagatelle_service.school.set_making import SetMade, SetOutcome, make_set
from bagatelle_service.school.work import Work

Result = TypeVar("Result")
_ATTEMPTS: Final = 3


class OvertakenError(Exception):
    """What was read has changed before what was made of it could be stored."""


class Preparation(Struct, frozen=True, kw_only=True):
    """How routines are to be prepared."""

    sessions: Sessions
    ask: Ask
    kinds: tuple[CardKind, ...] = KINDS
    dry_run: bool = False


class Prepared(Struct, frozen=True, kw_only=True):
    """What became of one routine."""

    found: SetFound
    outcome: SetOutcome | Exception
    """What the engine or a plugin said, where it came to nothing."""


async def again_where_overtaken(attempt: Callable[[], Awaitable[Result]]) -> Result:
    """Do what reads, works out and stores; again where others were faster in between.

    :raises ChangedMeanwhileError: where they were, again and again.
    """
    for _ in range(_ATTEMPTS):
        try:
            return await attempt()
        except OvertakenError:
            continue
    raise ChangedMeanwhileError("The routine is being changed or prepared by others. Ask again.")


async def keep_sets(work: Work, made: Sequence[SetMade]) -> Sequence[SetOutcome]:
    """Store sets of one student, whom the caller must reach.

    :raises MissingError: where there is no such student any more.
    :raises NotAllowedError: where the caller does not reach them.
    :raises OvertakenError: where a routine was changed or prepared since it was read.
    """
    await work.student(made[0].found.routine.student_id)
    ids = [each.found.routine.id for each in made]
    # Held until the end, so that of two who prepare at once the second sees what the first made.
    held = select(Routine.id, Routine.revision).where(Routine.id.in_(ids)).order_by(Routine.id)
    revisions = {row.id: row.revision for row in await work.session.execute(held.with_for_update())}
    there = await places_of(work, ids)
    for each in made:
        routine = each.found.routine
        if revisions.get(routine.id) != routine.revision or there[routine.id] != routine.places:
            raise OvertakenError
    return [each.outcome(await keep_set(work, each.to_keep, there[each.found.routine.id])) for each in made]


async def prepare_student(preparation: Preparation, sets: Sequence[SetFound]) -> Sequence[Prepared]:
    """Prepare routines of one student in one transaction; what came to nothing stops no other.

    :raises ChangedMeanwhileError: where others were faster, again and again.
    """
    try:
        return await _attempt(preparation, sets)
    except OvertakenError:
        ids = [each.routine.id for each in sets]
        return await again_where_overtaken(lambda: _anew(preparation, ids))


async def _anew(preparation: Preparation, routine_ids: Sequence[UUID]) -> Sequence[Prepared]:
    async with preparation.sessions.open(writes=False) as work:
        sets = await find_sets(work, await find_routines(work, Routine.id.in_(routine_ids)))
    return await _attempt(preparation, sets)


async def _attempt(preparation: Preparation, sets: Sequence[SetFound]) -> Sequence[Prepared]:
    made = [await _made_or_refused(preparation, each) for each in sets]
    outcomes = iter(await _kept(preparation, [each for each in made if isinstance(each, SetMade)]))
    return [
        Prepared(found=found, outcome=next(outcomes) if isinstance(each, SetMade) else each)
        for found, each in zip(sets, made, strict=True)
    ]


async def _made_or_refused(preparation: Preparation, found: SetFound) -> SetMade | Exception:
    try:
        return await make_set(preparation.ask, found, preparation.kinds)
    except Exception as error:  # it is told of this routine, and others go on
        return error


async def _kept(preparation: Preparation, made: Sequence[SetMade]) -> Sequence[SetOutcome]:
    if preparation.dry_run or all(each.changes_nothing for each in made):
        return [each.outcome(each.found.routine.places) for each in made]
    async with preparation.sessions.open(writes=True) as work:
        return await keep_sets(work, made)
