"""Tokens: each opens a school to one member, or to an app."""

from collections.abc import Iterable
from datetime import UTC, datetime
from typing import Annotated, Any, Literal, get_args
from uuid import UUID, uuid4

from bagatelle.model.errors import FieldError, InvalidInputError
from msgspec import Meta, Struct
from sqlalchemy import ColumnElement, select, true

from bagatelle_service.database.tables import Token
from bagatelle_service.school.answers import Made, made
from bagatelle_service.school.caller import Caller
from bagatelle_service.school.errors import MissingError, NotAllowedError
from bagatelle_service.school.fields import Name
from bagatelle_service.school.members import Member, ids_of, role_of
from bagatelle_service.school.pages import Page, rows_of_page
from bagatelle_service.school.roles import EVERYWHERE, SCOPES_OF, Role, Scope
from bagatelle_service.school.secrets import hash_of, new_token
from bagatelle_service.school.work import Work


class NewToken(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A token to be made: one more of the caller's own, or one of an app."""

    for_whom: Literal["me", "app"]
    scopes: Annotated[tuple[Scope, ...], Meta(max_length=len(get_args(Scope)))] = ()
    """What it may do; empty: all that the caller's own token may, where it is the caller's."""
    label: Name | None = None
    """What the token is called, so that it is known again; no person's name."""
    expires_at: datetime | None = None
    """From then on it opens nothing, no later than the token that asks; null: with that one, or never."""


class TokenAnswer(Struct, frozen=True, kw_only=True):
    """A token, without its secret."""

    id: UUID
    role: Role
    staff: UUID | None
    student: UUID | None
    guardian: UUID | None
    label: str | None
    scopes: tuple[str, ...]
    created_at: datetime
    expires_at: datetime | None
    revoked_at: datetime | None
    last_used_at: datetime | None
    """To within a minute."""


class NewTokenAnswer(Struct, frozen=True, kw_only=True):
    """A token and its secret."""

    token: TokenAnswer
    secret: str
    """Shown this once: only a hash of it is stored."""


class TokensAnswer(Struct, frozen=True, kw_only=True):
    """One page of tokens, in the order in which they were made."""

    tokens: tuple[TokenAnswer, ...]
    next: str | None
    """The cursor of the next page; null where this is the last."""


async def make_token(work: Work, body: NewToken) -> Made:
    """Make a token that may do no more than the caller's, and for no longer.

    :raises NotAllowedError: where an app's is asked for by somebody else than an owner or an app.
    :raises InvalidInputError: where the caller's token lacks a scope that is asked for, or the time is past,
        or later than the caller's token holds.
    """
    caller = work.caller
    if body.for_whom == "app" and caller.role not in EVERYWHERE:
        raise NotAllowedError("Only an owner or an app makes tokens of apps.")
    _refuse_wrong(body, caller, work.now)
    role: Role = "app" if body.for_whom == "app" else caller.role
    of_member = body.for_whom == "me" and caller.role != "app"
    token, secret = _drawn(
        work,
        role=role,
        staff_id=caller.staff_id if of_member else None,
        student_id=caller.student_id if of_member and caller.guardian_id is None else None,
        guardian_id=caller.guardian_id if of_member else None,
        label=body.label,
        scopes=body.scopes or caller.scopes,
        pseudonym=uuid4(),
        expires_at=body.expires_at or caller.tokens_until,
    )
    work.session.add(token)
    await work.session.flush()
    return made(NewTokenAnswer(token=token_answer(token), secret=secret), location=f"/v1/tokens/{token.id}")


def _refuse_wrong(body: NewToken, caller: Caller, now: datetime) -> None:
    wrong = [
        FieldError(
            pointer=f"/scopes/{place}",
            message="not among the scopes of the token that asks",
            accepted=", ".join(sorted(caller.scopes)),
        )
        for place, scope in enumerate(body.scopes)
        if scope not in caller.scopes
    ]
    if body.for_whom == "app" and not body.scopes:
        wrong.append(FieldError(pointer="/scopes", message="empty", accepted="what the app may do"))
    wrong += past_time(body.expires_at, now) or _outliving(body.expires_at, caller)
    if wrong:
        raise InvalidInputError(tuple(wrong))


def _outliving(moment: datetime | None, caller: Caller) -> list[FieldError]:
    # Else a token of one day could make itself one for ever.
    until = caller.tokens_until
    if moment is None or until is None or moment <= until:
        return []
    accepted = f"at most {until.isoformat()}, when the token that asks expires"
    return [FieldError(pointer="/expires_at", message="later than the token that asks", accepted=accepted)]


def past_time(moment: datetime | None, now: datetime, pointer: str = "/expires_at") -> list[FieldError]:
    """Say what is wrong with a moment up to which something is to hold; nothing where it is to come."""
    accepted = "a moment to come, with its offset from UTC (RFC 3339)"
    if moment is None or (moment.tzinfo is not None and moment > now and _is_in_utc(moment)):
        return []
    message = "no offset from UTC" if moment.tzinfo is None else "past already"
    if moment.tzinfo is not None and moment > now:
        message = "after the year 9999 in UTC"
    return [FieldError(pointer=pointer, message=message, accepted=accepted)]


def _is_in_utc(moment: datetime) -> bool:
    try:
        moment.astimezone(UTC)
    except OverflowError:
        return False
    return True


def member_token(work: Work, member: Member, scopes: frozenset[Scope] | None = None) -> tuple[Token, str]:
    """Make the row of a member's token, and its secret."""
    role = role_of(member)
    return _drawn(
        work,
        role=role,
        **ids_of(member),
        label=None,
        scopes=scopes or SCOPES_OF[role],
        pseudonym=member.pseudonym,
        expires_at=None,
    )


def _drawn(work: Work, *, scopes: Iterable[Scope], **fields: Any) -> tuple[Token, str]:
    secret = new_token()
    token = Token(
        school_id=work.school_id,
        id=uuid4(),
        hash=hash_of(secret),
        scopes=" ".join(sorted(set(scopes))),
        created_at=work.now,
        revoked_at=None,
        last_used_at=None,
        **fields,
    )
    return token, secret


async def list_tokens(work: Work, page: Page) -> Made:
    """List tokens: an owner's list has all of the school, an app's those of apps, any other the caller's own."""
    statement = select(Token).where(_own(work.caller))
    rows, following = await rows_of_page(work.session, statement, Token, page)
    return made(TokensAnswer(tokens=tuple(map(token_answer, rows)), next=following))


async def show_token(work: Work, token_id: UUID) -> Made:
    """Show a token.

    :raises MissingError: where the school has no such token.
    :raises NotAllowedError: where it is somebody else's.
    """
    return made(token_answer(await _find(work, token_id)))


async def revoke_token(work: Work, token_id: UUID) -> None:
    """Take a token back, at once and for good; done twice, it stays so.

    :raises MissingError: where the school has no such token.
    :raises NotAllowedError: where it is somebody else's.
    """
    token = await _find(work, token_id)
    if token.revoked_at is None:
        token.revoked_at = work.now


async def _find(work: Work, token_id: UUID) -> Token:
    token = await work.session.get(Token, (work.school_id, token_id))
    if token is None:
        raise MissingError("token")
    own = await work.session.scalar(select(Token.id).where(Token.id == token_id, _own(work.caller)))
    if own is None:
        raise NotAllowedError("This token is somebody else's.")
    return token


def _own(caller: Caller) -> ColumnElement[bool]:
    if caller.role == "owner":
        return true()
    if caller.role == "app":
        return Token.role == "app"
    if caller.guardian_id is not None:
        return Token.guardian_id == caller.guardian_id
    if caller.student_id is not None:
        return Token.student_id == caller.student_id
    return Token.staff_id == caller.staff_id


def token_answer(token: Token) -> TokenAnswer:
    """Say what is stored of a token."""
    role: Any = token.role
    return TokenAnswer(
        id=token.id,
        role=role,
        staff=token.staff_id,
        student=token.student_id,
        guardian=token.guardian_id,
        label=token.label,
        scopes=tuple(token.scopes.split()),
        created_at=token.created_at,
        expires_at=token.expires_at,
        revoked_at=token.revoked_at,
        last_used_at=token.last_used_at,
    )
