"""Invitations: single-use codes, each of which becomes a token of one member."""

from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import Annotated, Any, Final, Literal
from uuid import UUID, uuid4

from bagatelle.model.errors import FieldError, InvalidInputError
from msgspec import Meta, Struct
from sqlalchemy import ColumnElement, select, update

from bagatelle_service.database.tables import Guardian, Invitation, Staff, Student
from bagatelle_service.school.answers import Made, made
from bagatelle_service.school.errors import MissingError, SpentError
from bagatelle_service.school.fields import IdText
from bagatelle_service.school.members import MemberKind, note_student_of, refuse_letting_in
from bagatelle_service.school.pages import Page, rows_of_page
from bagatelle_service.school.secrets import hash_of, new_code, read_code
from bagatelle_service.school.tokens import past_time
from bagatelle_service.school.work import Work

USUAL_LIFE: Final = timedelta(days=14)
LONGEST_LIFE: Final = timedelta(days=90)
State = Literal["open", "used", "revoked", "expired"]
_TABLES: Final[dict[MemberKind, Any]] = {"staff": Staff, "student": Student, "guardian": Guardian}


class NewInvitation(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Whom to let in: exactly one of the three."""

    staff: IdText | None = None
    student: IdText | None = None
    guardian: IdText | None = None


class NewInvitations(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Invitations to be made, all or none."""

    invitations: Annotated[tuple[NewInvitation, ...], Meta(min_length=1, max_length=500)]
    expires_at: datetime | None = None
    """From then on the codes open nothing; at most 90 days from now, and 14 days where it is left out."""


class InvitationAnswer(Struct, frozen=True, kw_only=True):
    """An invitation, without its code."""

    id: UUID
    staff: UUID | None
    student: UUID | None
    guardian: UUID | None
    state: State
    created_at: datetime
    expires_at: datetime
    revoked_at: datetime | None
    used_at: datetime | None


class NewInvitationAnswer(Struct, frozen=True, kw_only=True):
    """An invitation and its code."""

    invitation: InvitationAnswer
    code: str
    """Shown this once: only a hash of it is stored."""


class NewInvitationsAnswer(Struct, frozen=True, kw_only=True):
    """Invitations and their codes, in the order in which they were asked for."""

    invitations: tuple[NewInvitationAnswer, ...]


class InvitationsAnswer(Struct, frozen=True, kw_only=True):
    """One page of invitations, in the order in which they were made."""

    invitations: tuple[InvitationAnswer, ...]
    next: str | None
    """The cursor of the next page; null where this is the last."""


class WantedInvitations(Struct, frozen=True, kw_only=True):
    """Which invitations are wanted."""

    page: Page
    staff_id: UUID | None = None
    student_id: UUID | None = None
    guardian_id: UUID | None = None
    state: State | None = None


async def make_invitations(work: Work, body: NewInvitations) -> Made:
    """Make invitations, all or none.

    :raises InvalidInputError: with every wrong row.
    :raises NotAllowedError: where the caller may do less than who is invited.
    """
    for kind in _TABLES:
        if any(getattr(row, kind) is not None for row in body.invitations):
            refuse_letting_in(work, kind)
    wrong = [*await _wrong_rows(work, body.invitations), *_wrong_time(body.expires_at, work.now)]
    if wrong:
        raise InvalidInputError(tuple(wrong))
    expires_at = body.expires_at or work.now + USUAL_LIFE
    answers = []
    for row in body.invitations:
        code = new_code()
        invitation = Invitation(
            school_id=work.school_id,
            id=uuid4(),
            hash=hash_of(read_code(code)),
            staff_id=_id(row.staff),
            student_id=_id(row.student),
            guardian_id=_id(row.guardian),
            created_at=work.now,
            expires_at=expires_at,
            revoked_at=None,
            used_at=None,
        )
        work.session.add(invitation)
        answers.append(NewInvitationAnswer(invitation=invitation_answer(invitation, work.now), code=code))
    await work.session.flush()
    return made(NewInvitationsAnswer(invitations=tuple(answers)), location="/v1/invitations")


def _id(text: str | None) -> UUID | None:
    return None if text is None else UUID(text)


async def _wrong_rows(work: Work, rows: Sequence[NewInvitation]) -> list[FieldError]:
    known = {kind: await _members(work, kind, rows) for kind in _TABLES}
    wrong: list[FieldError] = []
    seen: dict[tuple[str, UUID], int] = {}
    for place, row in enumerate(rows):
        named = [kind for kind in _TABLES if getattr(row, kind) is not None]
        if len(named) != 1:
            wrong.append(
                FieldError(
                    pointer=f"/invitations/{place}",
                    message="names nobody" if not named else "names more than one",
                    accepted="exactly one of staff, student, guardian",
                )
            )
            continue
        kind, member_id = named[0], UUID(getattr(row, named[0]))
        message = known[kind].get(member_id, f"the school has no {kind} of this id")
        if not message and (kind, member_id) in seen:
            message = f"invited by /invitations/{seen[kind, member_id]} already"
        seen.setdefault((kind, member_id), place)
        if message:
            accepted = f"the id of one {kind} of the school, not archived, once"
            wrong.append(
                FieldError(pointer=f"/invitations/{place}/{kind}", message=message, accepted=accepted)
            )
    return wrong


async def _members(work: Work, kind: MemberKind, rows: Sequence[NewInvitation]) -> dict[UUID, str]:
    """Find which members of a kind there are, each with what is wrong with inviting them."""
    table = _TABLES[kind]
    wanted = [UUID(text) for row in rows if (text := getattr(row, kind)) is not None]
    found = await work.session.scalars(select(table).where(table.id.in_(wanted)))
    return {
        member.id: "archived" if getattr(member, "archived_at", None) is not None else "" for member in found
    }


def _wrong_time(expires_at: datetime | None, now: datetime) -> list[FieldError]:
    wrong = past_time(expires_at, now)
    if not wrong and expires_at is not None and expires_at > now + LONGEST_LIFE:
        accepted = f"at most {LONGEST_LIFE.days} days from now"
        wrong.append(FieldError(pointer="/expires_at", message="too far ahead", accepted=accepted))
    return wrong


async def list_invitations(work: Work, wanted: WantedInvitations) -> Made:
    """List invitations."""
    statement = select(Invitation)
    for column in ("staff_id", "student_id", "guardian_id"):
        if (member_id := getattr(wanted, column)) is not None:
            statement = statement.where(getattr(Invitation, column) == member_id)
    if wanted.state is not None:
        statement = statement.where(*_in_state(wanted.state, work.now))
    rows, following = await rows_of_page(work.session, statement, Invitation, wanted.page)
    answers = tuple(invitation_answer(row, work.now) for row in rows)
    return made(InvitationsAnswer(invitations=answers, next=following))


def _in_state(state: State, now: datetime) -> tuple[ColumnElement[bool], ...]:
    if state == "used":
        return (Invitation.used_at.is_not(None),)
    if state == "revoked":
        return (Invitation.revoked_at.is_not(None),)
    is_past = Invitation.expires_at <= now
    untouched = (Invitation.used_at.is_(None), Invitation.revoked_at.is_(None))
    return (*untouched, is_past if state == "expired" else ~is_past)


async def show_invitation(work: Work, invitation_id: UUID) -> Made:
    """Show an invitation.

    :raises MissingError: where the school has no such invitation.
    """
    return made(invitation_answer(await _find(work, invitation_id), work.now))


async def revoke_invitation(work: Work, invitation_id: UUID) -> None:
    """Take an invitation back, at once and for good; done twice, it stays so.

    :raises MissingError: where the school has no such invitation.
    :raises SpentError: where it was used: then it is the token that would have to be taken back.
    """
    invitation = await _find(work, invitation_id)
    if invitation.revoked_at is not None:
        return
    unused = (Invitation.id == invitation_id, Invitation.used_at.is_(None))
    # Its use may be under way: whichever comes first holds.
    done: Any = await work.session.execute(update(Invitation).where(*unused).values(revoked_at=work.now))
    if done.rowcount != 1:
        raise SpentError("This invitation was used. Take back the token that came of it instead.")


async def _find(work: Work, invitation_id: UUID) -> Invitation:
    invitation = await work.session.get(Invitation, (work.school_id, invitation_id))
    if invitation is None:
        raise MissingError("invitation")
    await note_student_of(work, invitation)
    return invitation


def state_of(invitation: Invitation, now: datetime) -> State:
    """Say what has become of an invitation."""
    if invitation.used_at is not None:
        return "used"
    if invitation.revoked_at is not None:
        return "revoked"
    return "expired" if invitation.expires_at <= now else "open"


def invitation_answer(invitation: Invitation, now: datetime) -> InvitationAnswer:
    """Say what is stored of an invitation."""
    return InvitationAnswer(
        id=invitation.id,
        staff=invitation.staff_id,
        student=invitation.student_id,
        guardian=invitation.guardian_id,
        state=state_of(invitation, now),
        created_at=invitation.created_at,
        expires_at=invitation.expires_at,
        revoked_at=invitation.revoked_at,
        used_at=invitation.used_at,
    )
