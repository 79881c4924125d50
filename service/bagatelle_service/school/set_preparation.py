"""Preparing routines: read, asked of the engine with no transaction open, and stored.

Where somebody was faster in between, it is done again from what there is then.
"""

from collections.abc import Awaitable, Callable, Iterator, Sequence
from typing import Final, TypeVar
from uuid import UUID

from bagatelle.card.kinds import KINDS
from bagatelle.model.card import CardKind
from msgspec import Struct
from sqlalchemy import select

from bagatelle_service.database.tables import Routine, Student
from bagatelle_service.engine_questions import Ask
from bagatelle_service.school.errors import ChangedMeanwhileError
from bagatelle_service.school.kept_sets import keep_sets, places_of
from bagatelle_service.school.plan_sets import SetFound, find_routines, find_sets
from bagatelle_service.school.reach import within_reach
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


class Attempt(Struct, frozen=True, kw_only=True):
    """What the engine made of one routine, not stored yet."""

    found: SetFound
    made: SetMade | Exception
    """What the engine or a plugin said, where it came to nothing."""


class Prepared(Struct, frozen=True, kw_only=True):
    """What became of one routine."""

    found: SetFound
    outcome: SetOutcome | Exception
    """What was said, where it came to nothing."""


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


async def store_sets(work: Work, made: Sequence[SetMade]) -> Sequence[SetOutcome]:
    """Store sets of students whom the caller must reach.

    :raises MissingError: where one of them is not there any more.
    :raises NotAllowedError: where the caller does not reach one of them.
    :raises OvertakenError: where a routine was changed or prepared since it was read.
    """
    await _hold_students(work, {each.found.routine.student_id for each in made})
    ids = [each.found.routine.id for each in made]
    # Held until the end, so that of two who prepare at once the second sees what the first made.
    held = select(Routine.id, Routine.revision).where(Routine.id.in_(ids)).order_by(Routine.id)
    revisions = {row.id: row.revision for row in await work.session.execute(held.with_for_update())}
    there = await places_of(work, ids)
    for each in made:
        routine = each.found.routine
        if revisions.get(routine.id) != routine.revision or there[routine.id] != routine.places:
            raise OvertakenError
    after = await keep_sets(work, [each.to_keep for each in made], there)
    return [each.outcome(after[each.found.routine.id]) for each in made]


async def _hold_students(work: Work, student_ids: set[UUID]) -> None:
    # Held before their routines, as an erasure does it, so that neither waits for the other.
    held = (
        select(Student.id).where(Student.id.in_(student_ids), within_reach(work.caller)).order_by(Student.id)
    )
    reached = set(await work.session.scalars(held.with_for_update(read=True, key_share=True)))
    for student_id in sorted(student_ids - reached):
        await work.student(student_id)  # says why not


async def make_student(preparation: Preparation, sets: Sequence[SetFound]) -> Sequence[Attempt]:
    """Ask the engine for the sets of one student; what comes to nothing stops no other."""
    return [Attempt(found=each, made=await _made_or_refused(preparation, each)) for each in sets]


async def keep_students(
    preparation: Preparation, students: Sequence[Sequence[Attempt]]
) -> Sequence[Sequence[Prepared]]:
    """Store the sets of some students, each whole or not at all; what goes wrong with one stops no other.

    All are stored in one transaction, which costs far less than one each. Where it fails, nobody has anything of
    it, and each is stored alone.
    """
    try:
        outcomes = iter(await _kept(preparation, [each for attempts in students for each in _sets(attempts)]))
    except Exception:  # whose it was is seen where each is alone
        return [await _kept_alone(preparation, attempts) for attempts in students]
    return [_told(attempts, outcomes) for attempts in students]


async def _kept_alone(preparation: Preparation, attempts: Sequence[Attempt]) -> Sequence[Prepared]:
    try:
        return await _kept_or_anew(preparation, attempts)
    except Exception as error:  # it is told of this student, and the others go on
        return [
            Prepared(found=each.found, outcome=error if isinstance(each.made, SetMade) else each.made)
            for each in attempts
        ]


async def _kept_or_anew(preparation: Preparation, attempts: Sequence[Attempt]) -> Sequence[Prepared]:
    try:
        return _told(attempts, iter(await _kept(preparation, _sets(attempts))))
    except OvertakenError:
        ids = [each.found.routine.id for each in attempts]
        return await again_where_overtaken(lambda: _anew(preparation, ids))


async def _anew(preparation: Preparation, routine_ids: Sequence[UUID]) -> Sequence[Prepared]:
    async with preparation.sessions.open(writes=False) as work:
        sets = await find_sets(work, await find_routines(work, Routine.id.in_(routine_ids)))
    attempts = await make_student(preparation, sets)
    return _told(attempts, iter(await _kept(preparation, _sets(attempts))))


async def _kept(preparation: Preparation, made: Sequence[SetMade]) -> Sequence[SetOutcome]:
    if preparation.dry_run or all(each.changes_nothing for each in made):
        return [each.outcome(each.found.routine.places) for each in made]
    async with preparation.sessions.open(writes=True) as work:
        return await store_sets(work, made)


async def _made_or_refused(preparation: Preparation, found: SetFound) -> SetMade | Exception:
    try:
        return await make_set(preparation.ask, found, preparation.kinds)
    except Exception as error:  # it is told of this routine, and others go on
        return error


def _sets(attempts: Sequence[Attempt]) -> Sequence[SetMade]:
    return [each.made for each in attempts if isinstance(each.made, SetMade)]


def _told(attempts: Sequence[Attempt], outcomes: Iterator[SetOutcome]) -> Sequence[Prepared]:
    return [
        Prepared(found=each.found, outcome=next(outcomes) if isinstance(each.made, SetMade) else each.made)
        for each in attempts
    ]
