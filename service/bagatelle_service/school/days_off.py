"""The days on which a student does not mean to practise. Everybody has them: none, as long as nobody said any."""

from datetime import date
from typing import Annotated, Final
from uuid import UUID

import msgspec
from bagatelle.model import progress
from bagatelle.model.errors import FieldError
from bagatelle.wrong_fields import refuse
from msgspec import Meta, Struct

from bagatelle_service.database.tables import DaysOff
from bagatelle_service.school.answers import Made, made
from bagatelle_service.school.work import Work

SPANS_LIMIT: Final = 100
Weekday = Annotated[int, Meta(ge=1, le=7, description="Monday 1 to Sunday 7, as ISO 8601 numbers them.")]


class Span(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Some days in a row, both ends among them."""

    first: date
    last: date


class ChangedDaysOff(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Days off as they should be from now on."""

    weekdays: Annotated[tuple[Weekday, ...], Meta(max_length=7)] = ()
    """Off in every week, each once."""
    spans: Annotated[tuple[Span, ...], Meta(max_length=SPANS_LIMIT)] = ()
    """Such as holidays; they may overlap."""


class DaysOffAnswer(Struct, frozen=True, kw_only=True):
    """Days off."""

    student: UUID
    weekdays: tuple[Weekday, ...]
    """In their order."""
    spans: tuple[Span, ...]
    """In the order of their first days."""
    revision: Annotated[int, Meta(ge=0, description="Counts the changes; the ETag is this number.")]
    """0 as long as nobody said any."""


async def show_days_off(work: Work, student_id: UUID) -> Made:
    """Show a student's days off.

    :raises MissingError: where the school has no such student.
    :raises NotAllowedError: where the caller does not reach them.
    """
    student = await work.student(student_id)
    return _shown(student.id, await work.session.get(DaysOff, (work.school_id, student.id)))


async def change_days_off(work: Work, student_id: UUID, body: ChangedDaysOff) -> Made:
    """Change a student's days off.

    :raises MissingError: where the school has no such student.
    :raises NotAllowedError: where the caller does not reach them.
    :raises NoMatchGivenError: where the request does not say from which revision it was made.
    :raises ChangedMeanwhileError: where it was made from another than the newest.
    :raises InvalidInputError: where a weekday stands twice, or a span ends before it begins.
    """
    student = await work.hold_student(student_id)
    row = await work.session.get(DaysOff, (work.school_id, student.id))
    work.expect(0 if row is None else row.revision)
    stored = msgspec.json.encode(_in_order(body)).decode()
    if row is None:
        row = DaysOff(
            school_id=work.school_id, student_id=student.id, body=stored, revision=1, created_at=work.now
        )
        work.session.add(row)
    else:
        row.body = stored
        row.revision += 1
    await work.session.flush()
    return _shown(student.id, row)


def read_days_off(row: DaysOff | None) -> progress.DaysOff:
    """Read what is stored of days off, as progress takes it."""
    return progress.DaysOff() if row is None else msgspec.json.decode(row.body, type=progress.DaysOff)


def _in_order(body: ChangedDaysOff) -> progress.DaysOff:
    wrong = [
        FieldError(
            pointer=f"/spans/{place}/last",
            message=f"{span.last} is before {span.first}",
            accepted="the first day, or one after it",
        )
        for place, span in enumerate(body.spans)
        if span.last < span.first
    ]
    wrong.extend(
        FieldError(
            pointer=f"/weekdays/{place}", message="the weekday stands twice", accepted="each weekday once"
        )
        for place, weekday in enumerate(body.weekdays)
        if weekday in body.weekdays[:place]
    )
    refuse(wrong)
    spans = (progress.DateSpan(first=span.first, last=span.last) for span in body.spans)
    return progress.DaysOff(
        weekdays=tuple(sorted(body.weekdays)),
        spans=tuple(sorted(spans, key=lambda span: (span.first, span.last))),
    )


def _shown(student_id: UUID, row: DaysOff | None) -> Made:
    days_off = read_days_off(row)
    answer = DaysOffAnswer(
        student=student_id,
        weekdays=days_off.weekdays,
        spans=tuple(Span(first=span.first, last=span.last) for span in days_off.spans),
        revision=0 if row is None else row.revision,
    )
    return made(answer, answer.revision)
