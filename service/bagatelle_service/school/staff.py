"""Staff: owners, who run the school, and teachers."""

from datetime import datetime
from typing import Any, Literal
from uuid import UUID, uuid4

from bagatelle.model.errors import FieldError, InvalidInputError
from msgspec import Struct
from sqlalchemy import select

from bagatelle_service.database.tables import Staff
from bagatelle_service.school.answers import Made, made
from bagatelle_service.school.archiving import archived_as_wanted, set_archived
from bagatelle_service.school.fields import DisplayName, Revision
from bagatelle_service.school.members import find_staff
from bagatelle_service.school.pages import Page, rows_of_page
from bagatelle_service.school.work import Work

StaffRole = Literal["owner", "teacher"]


class NewStaff(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Somebody who is to work at the school. An invitation lets them in."""

    role: StaffRole
    """An owner may do everything within the school; a teacher reaches the students of their own groups."""
    display_name: DisplayName


class ChangedStaff(NewStaff, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Somebody of the staff as it should be from now on.

    Tokens keep to the scopes that they were made with: whoever becomes an owner needs a new invitation.
    """

    archived: bool = False
    """The tokens of somebody archived open nothing; nothing else is lost."""


class StaffAnswer(Struct, frozen=True, kw_only=True):
    """An owner or a teacher."""

    id: UUID
    role: StaffRole
    display_name: str
    archived: bool
    created_at: datetime
    revision: Revision


class StaffListAnswer(Struct, frozen=True, kw_only=True):
    """One page of the staff, in the order in which they were made."""

    staff: tuple[StaffAnswer, ...]
    next: str | None
    """The cursor of the next page; null where this is the last."""


class WantedStaff(Struct, frozen=True, kw_only=True):
    """Who is wanted."""

    page: Page
    role: StaffRole | None = None
    archived: bool | None = None


async def make_staff(work: Work, body: NewStaff) -> Made:
    """Add somebody to the staff."""
    staff = Staff(
        school_id=work.school_id,
        id=uuid4(),
        role=body.role,
        display_name=body.display_name,
        pseudonym=uuid4(),
        revision=1,
        created_at=work.now,
        archived_at=None,
    )
    work.session.add(staff)
    await work.session.flush()
    return _shown(staff)


async def list_staff(work: Work, wanted: WantedStaff) -> Made:
    """List the staff of the school."""
    statement = select(Staff)
    if wanted.role is not None:
        statement = statement.where(Staff.role == wanted.role)
    statement = statement.where(archived_as_wanted(Staff, archived=wanted.archived))
    rows, following = await rows_of_page(work.session, statement, Staff, wanted.page)
    return made(StaffListAnswer(staff=tuple(map(staff_answer, rows)), next=following))


async def show_staff(work: Work, staff_id: UUID) -> Made:
    """Show somebody of the staff.

    :raises MissingError: where the school has no such person.
    """
    return _shown(await find_staff(work, staff_id))


async def change_staff(work: Work, staff_id: UUID, body: ChangedStaff) -> Made:
    """Change somebody of the staff.

    :raises MissingError: where the school has no such person.
    :raises InvalidInputError: where the school would be left without an owner.
    """
    owners = await _active_owners(work)
    staff = await find_staff(work, staff_id, to_change=True)
    work.expect(staff.revision)
    _refuse_losing_the_last(owners, staff, body)
    staff.role, staff.display_name = body.role, body.display_name
    set_archived(staff, work.now, archived=body.archived)
    staff.revision += 1
    await work.session.flush()
    return _shown(staff)


async def _active_owners(work: Work) -> list[UUID]:
    """List the owners who are not archived, none of whom anybody else changes until the work is done.

    Two owners who archive each other at once wait for one another here, in one order, before either is read.
    """
    statement = select(Staff.id).where(Staff.role == "owner", Staff.archived_at.is_(None))
    return list((await work.session.scalars(statement.order_by(Staff.id).with_for_update())).all())


def _refuse_losing_the_last(owners: list[UUID], staff: Staff, body: ChangedStaff) -> None:
    if owners != [staff.id] or (body.role == "owner" and not body.archived):
        return
    pointer, accepted = ("/archived", "false") if body.archived else ("/role", "owner")
    wrong = FieldError(
        pointer=pointer,
        message="the school's last active owner",
        accepted=f"{accepted}, until the school has another active owner",
    )
    raise InvalidInputError((wrong,))


def staff_answer(staff: Staff) -> StaffAnswer:
    """Say what is stored of somebody of the staff."""
    role: Any = staff.role
    return StaffAnswer(
        id=staff.id,
        role=role,
        display_name=staff.display_name,
        archived=staff.archived_at is not None,
        created_at=staff.created_at,
        revision=staff.revision,
    )


def _shown(staff: Staff) -> Made:
    return made(staff_answer(staff), staff.revision, f"/v1/staff/{staff.id}")
