"""Small changes that were offered to a student: taken, or put aside for good."""

from datetime import datetime
from typing import Final, Literal
from uuid import UUID

from bagatelle.model.plan import PatchOperation
from msgspec import Struct
from sqlalchemy import select

from bagatelle_service.database.tables import AnsweredOffer, Student
from bagatelle_service.progress_question import OfferFound, ProgressFound
from bagatelle_service.school.answers import Made, made
from bagatelle_service.school.errors import MissingError
from bagatelle_service.school.fields import Revision
from bagatelle_service.school.practice_facts import GatheredPractice
from bagatelle_service.school.work import Work

OfferAnswer = Literal["taken", "aside"]
OFFER_KEY_PATTERN: Final = r"^[a-z-]{1,20}:[0-9a-z-]{1,40}(:[a-z-]{1,20})?$(?!\n)"
"""As `bagatelle.progress` makes them where tasks are named by their stored ids: fit for a path as they are."""
OFFER_KEY_LENGTH: Final = 82


class AnsweredOfferBody(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What becomes of an offer."""

    answer: OfferAnswer
    """`taken`, or put `aside` for good. Neither comes again."""


class CarryingOut(Struct, frozen=True, kw_only=True):
    """What would carry an offer out. Nothing is changed by it."""

    routine: UUID | None
    """Whose content the patch is of, as GET shows it and PUT takes it; null where it is of a plan's choices."""
    plan: UUID | None
    """Whose choices the patch is of, where they stand in the place of what the routine says; else null."""
    revision: Revision
    """Of the routine or the plan, for If-Match."""
    patch: tuple[PatchOperation, ...]
    """JSON Patch (RFC 6902)."""


class OfferAnswered(Struct, frozen=True, kw_only=True):
    """An offer and what became of it."""

    student: UUID
    key: str
    answer: OfferAnswer
    answered_at: datetime
    carrying_out: CarryingOut | None
    """Null where it was put aside, or where what was logged, or the routine, gives no cause for it any more."""


async def answer_offer(
    work: Work, key: str, body: AnsweredOfferBody, gathered: GatheredPractice, found: ProgressFound
) -> Made:
    """Remember what became of an offer, so that it does not come again.

    :param gathered: what the engine's answer was made from, read a moment before.
    :raises MissingError: where nothing of that key is offered, nor was answered before.
    :raises NotAllowedError: where the caller does not reach the student.
    """
    student = await work.student(gathered.student_id)
    # Of two who answer at once the second finds what the first said. An erasure need not wait for either.
    await work.session.execute(
        select(Student.id).where(Student.id == student.id).with_for_update(key_share=True)
    )
    offered = next((each for each in found.offers if each.offer.key == key), None)
    row = await work.session.get(AnsweredOffer, (work.school_id, student.id, key))
    if row is None:
        if offered is None:
            raise MissingError("offer", "key")
        row = AnsweredOffer(school_id=work.school_id, student_id=student.id, key=key, answer=body.answer)
        row.created_at = work.now
        work.session.add(row)
    elif row.answer != body.answer:
        row.answer = body.answer
        row.created_at = work.now
    await work.session.flush()
    return made(
        OfferAnswered(
            student=student.id,
            key=key,
            answer=body.answer,
            answered_at=row.created_at,
            carrying_out=None if body.answer == "aside" else _carrying_out(offered, gathered),
        )
    )


def _carrying_out(offered: OfferFound | None, gathered: GatheredPractice) -> CarryingOut | None:
    if offered is None:
        return None
    routine, plan = offered.routine, offered.plan
    return CarryingOut(
        routine=None if routine is None else UUID(routine),
        plan=None if plan is None else UUID(plan),
        revision=gathered.revisions[routine or plan or ""],
        patch=offered.patch,
    )
