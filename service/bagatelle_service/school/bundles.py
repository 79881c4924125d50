"""The offline bundle: all that an app needs to make a student's day sheets without a network, signed.

Its payload is gzip (RFC 1952, `cty` "gzip" for application/gzip of RFC 6713) of one JSON object: cards repeat
themselves, and a JSON Web Signature, unlike encryption, has no compression of its own. It names nobody; but titles
and wording are the learner's own.
"""

import gzip
from collections.abc import Sequence
from datetime import date, timedelta
from typing import Final, Literal
from uuid import UUID

import msgspec
from bagatelle.model.card import CardKind
from bagatelle.progress.days import day_of
from msgspec import Raw, Struct
from sqlalchemy import select, tuple_

from bagatelle_service.database.tables import PreparedPlanRevision
from bagatelle_service.school.answers import Made
from bagatelle_service.school.card_bodies import read_body
from bagatelle_service.school.errors import MissingError, NoSigningKeyError
from bagatelle_service.school.last_done import LastDone, last_done_before
from bagatelle_service.school.plans_of_day import PlanOfDay, choose_routine, plans_of_student
from bagatelle_service.school.sheet_making import card_name
from bagatelle_service.school.work import Work
from bagatelle_service.signing import SigningKey

HOLDS_FOR: Final = timedelta(days=28)
"""Long enough for a holiday without a network, and short enough that what is erased or changed does not live on."""
_COMPRESSION: Final = 6
_ONE_DAY: Final = timedelta(days=1)


class BundledCard(Struct, frozen=True, kw_only=True):
    """The card of one kind of day."""

    kind: CardKind
    plan: UUID
    plan_revision: int
    name: str
    """What a sheet made from it calls it, in `card`."""
    card: Raw


class Bundle(Struct, frozen=True, kw_only=True):
    """What is signed. `sub`, `iat` and `exp` are those of RFC 7519."""

    format: Literal["bagatelle-bundle"] = "bagatelle-bundle"
    version: Literal[1] = 1
    walking_rule: Literal[1] = 1
    """The version of the rule by which a card becomes a sheet."""
    sub: UUID
    """The student's id."""
    iat: int
    exp: int
    """From then on it is to be fetched anew, or not to be used."""
    routine: UUID
    date: date
    """The student's today when it was made."""
    last_done: LastDone
    """Before that date: what a sheet of it goes by."""
    done_on_date: LastDone
    """What was done on the date so far: a sheet of a later one goes by this too."""
    cards: tuple[BundledCard, ...]


async def make_bundle(work: Work, student_id: UUID, named: UUID | None, key: SigningKey | None) -> Made:
    """Make a student's bundle of one routine: the one named, else that which a day's sheet would be of.

    :raises MissingError: where the school has no such student, or the student no such open routine with plans.
    :raises NotAllowedError: where the caller does not reach them.
    :raises NotPreparedError: where no plan is prepared.
    :raises NoSigningKeyError: where there is nothing to sign with.
    """
    student = await work.student(student_id)
    if key is None:
        raise NoSigningKeyError
    plans = [plan for plan in await plans_of_student(work, student.id) if plan.is_open]
    if named is not None and named not in {plan.routine_id for plan in plans}:
        raise MissingError("routine")
    routine_id = choose_routine(plans, named)
    today = day_of(work.now, student.time_zone)
    until_now = await last_done_before(work, student.id, routine_id, today + _ONE_DAY)
    bundle = Bundle(
        sub=student.id,
        iat=int(work.now.timestamp()),
        exp=int((work.now + HOLDS_FOR).timestamp()),
        routine=routine_id,
        date=today,
        last_done=await last_done_before(work, student.id, routine_id, today),
        done_on_date=_done_on(today, until_now),
        cards=await _cards(work, [plan for plan in plans if plan.routine_id == routine_id]),
    )
    payload = gzip.compress(msgspec.json.encode(bundle), _COMPRESSION, mtime=0)
    return Made(body=key.sign(payload, "gzip").encode())


def _done_on(day: date, last_done: LastDone) -> LastDone:
    found = {
        task: {unit: last for unit, last in units.items() if last == day} for task, units in last_done.items()
    }
    return {task: units for task, units in found.items() if units}


async def _cards(work: Work, plans: Sequence[PlanOfDay]) -> tuple[BundledCard, ...]:
    keys = [(plan.plan_id, plan.revision) for plan in plans]
    of_revision = tuple_(PreparedPlanRevision.plan_id, PreparedPlanRevision.number)
    statement = select(PreparedPlanRevision.plan_id, PreparedPlanRevision.body).where(of_revision.in_(keys))
    bodies = {plan_id: read_body(body) for plan_id, body in await work.session.execute(statement)}
    return tuple(
        BundledCard(
            kind=plan.kind,
            plan=plan.plan_id,
            plan_revision=plan.revision,
            name=card_name(plan.plan_id, plan.revision),
            card=Raw(bodies[plan.plan_id]),
        )
        for plan in sorted(plans, key=lambda plan: plan.kind)
    )
