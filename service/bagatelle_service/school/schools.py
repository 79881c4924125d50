"""Schools: made by the operator, each with its first owner."""

from datetime import datetime
from typing import Annotated
from uuid import UUID, uuid4

from msgspec import Meta, Struct
from sqlalchemy import select

from bagatelle_service.database.tables import School, Staff
from bagatelle_service.school.answers import Made, made
from bagatelle_service.school.archiving import set_archived
from bagatelle_service.school.errors import MissingError, NotAllowedError
from bagatelle_service.school.fields import DisplayName, Revision
from bagatelle_service.school.pages import Page, rows_of_page
from bagatelle_service.school.tokens import member_token
from bagatelle_service.school.work import Work

SchoolName = Annotated[str, Meta(min_length=1, max_length=200, pattern=r"^[^\x00-\x1f\x7f]*$(?!\n)")]


class NewSchool(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A school to be made."""

    name: SchoolName
    owner_name: DisplayName
    """What its first owner is called."""


class ChangedSchool(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A school as it should be from now on."""

    name: SchoolName
    keeps_health_facts: bool = False
    """Whether facts about bodies may be stored, such as the limits of a hand. Local rules may ask for consent.

    The school's own to say, as is the next; the operator sends both as they are.
    """
    retention_days: Annotated[int, Meta(ge=30, le=3660)] | None = None
    """After so many days logs, day sheets and the trail go, and archived students; null: never."""
    archived: bool = False
    """The operator's to say. All tokens of an archived school open nothing; nothing else is lost."""


class SchoolAnswer(Struct, frozen=True, kw_only=True):
    """A school."""

    id: UUID
    name: str
    keeps_health_facts: bool
    retention_days: int | None
    archived: bool
    created_at: datetime
    revision: Revision


class NewSchoolAnswer(Struct, frozen=True, kw_only=True):
    """A school, and how its owner gets in."""

    school: SchoolAnswer
    owner: UUID
    """The id of the owner among the staff."""
    secret: str
    """The owner's token. Shown this once: only a hash of it is stored."""


class SchoolsAnswer(Struct, frozen=True, kw_only=True):
    """One page of schools, in the order in which they were made."""

    schools: tuple[SchoolAnswer, ...]
    next: str | None
    """The cursor of the next page; null where this is the last."""


async def make_school(work: Work, body: NewSchool) -> Made:
    """Make a school of the work's id, with its owner and the owner's token."""
    school = School(
        id=work.school_id,
        name=body.name,
        keeps_health_facts=False,
        retention_days=None,
        revision=1,
        created_at=work.now,
        archived_at=None,
    )
    work.session.add(school)
    await work.session.flush()
    owner = Staff(
        school_id=school.id,
        id=uuid4(),
        role="owner",
        display_name=body.owner_name,
        pseudonym=uuid4(),
        revision=1,
        created_at=work.now,
        archived_at=None,
    )
    work.session.add(owner)
    await work.session.flush()
    token, secret = member_token(work, owner)
    work.session.add(token)
    answer = NewSchoolAnswer(school=school_answer(school), owner=owner.id, secret=secret)
    return made(answer, location=f"/v1/schools/{school.id}")


async def list_schools(work: Work, page: Page) -> Made:
    """List all schools."""
    rows, following = await rows_of_page(work.session, select(School), School, page)
    return made(SchoolsAnswer(schools=tuple(map(school_answer, rows)), next=following))


async def show_school(work: Work, school_id: UUID) -> Made:
    """Show a school.

    :raises MissingError: where there is none of that id, or it is not the caller's.
    """
    school = await _find(work, school_id)
    return made(school_answer(school), school.revision)


async def change_school(work: Work, school_id: UUID, body: ChangedSchool) -> Made:
    """Change a school.

    :raises MissingError: where there is none of that id, or it is not the caller's.
    :raises NotAllowedError: where somebody else than the operator archives it, or the operator says what is kept.
    """
    school = await _find(work, school_id)
    work.expect(school.revision)
    is_operator = work.caller.role == "operator"
    if body.archived != (school.archived_at is not None) and not is_operator:
        raise NotAllowedError("Only the operator archives a school.")
    kept = (school.keeps_health_facts, school.retention_days)
    if is_operator and (body.keeps_health_facts, body.retention_days) != kept:
        raise NotAllowedError("What is kept of students, and for how long, is the school's own to say.")
    school.name = body.name
    school.keeps_health_facts = body.keeps_health_facts
    school.retention_days = body.retention_days
    set_archived(school, work.now, archived=body.archived)
    school.revision += 1
    await work.session.flush()
    return made(school_answer(school), school.revision)


async def _find(work: Work, school_id: UUID) -> School:
    is_own = work.caller.role == "operator" or school_id == work.school_id
    school = await work.session.get(School, school_id) if is_own else None
    if school is None:
        raise MissingError("school")
    return school


def school_answer(school: School) -> SchoolAnswer:
    """Say what is stored of a school itself."""
    return SchoolAnswer(
        id=school.id,
        name=school.name,
        keeps_health_facts=school.keeps_health_facts,
        retention_days=school.retention_days,
        archived=school.archived_at is not None,
        created_at=school.created_at,
        revision=school.revision,
    )
