"""Who asks."""

from datetime import datetime
from uuid import UUID

from msgspec import Struct

from bagatelle_service.school.roles import Role, Scope

OPERATOR_LEVEL = UUID(int=0)


class Caller(Struct, frozen=True, kw_only=True):
    """Who asks, as a token or an outside issuer's word says."""

    role: Role
    scopes: frozenset[Scope]
    token_id: UUID
    """What permits are counted by."""
    pseudonym: UUID
    """How the trail names the caller."""
    secret: str
    """What was shown; never stored or logged."""
    school_id: UUID = OPERATOR_LEVEL
    staff_id: UUID | None = None
    student_id: UUID | None = None
    """The student that a student is, or that a guardian reads."""
    guardian_id: UUID | None = None
    expires_at: datetime | None = None
    """From then on what was shown opens nothing."""
    tokens_until: datetime | None = None
    """How long the tokens that the caller makes may hold; None: for ever. An outside issuer's word is renewed as
    long as it lets the caller in, so when one word ends limits nothing."""

    @property
    def member_id(self) -> UUID | None:
        """Whose it is; None where it is an operator's or an app's."""
        return self.staff_id or self.guardian_id or self.student_id

    def __repr__(self) -> str:
        """Say who it is, and nothing of the secret."""
        return f"Caller({self.role}, token {self.token_id})"


class CallerAnswer(Struct, frozen=True, kw_only=True):
    """Who a token is."""

    role: Role
    school: UUID | None
    """Null for the operator."""
    member: UUID | None
    """The id of the owner or teacher among the staff, of the student, or of the guardian; null for the operator and
    for apps."""
    student: UUID | None
    """The one student whom it reaches; null where it may reach more, or nobody."""
    scopes: tuple[str, ...]
    expires_at: datetime | None
    """From then on it opens nothing; null: it does not expire."""


def caller_answer(caller: Caller) -> CallerAnswer:
    """Say who a token is."""
    return CallerAnswer(
        role=caller.role,
        school=None if caller.school_id == OPERATOR_LEVEL else caller.school_id,
        member=caller.member_id,
        student=caller.student_id,
        scopes=tuple(sorted(caller.scopes)),
        expires_at=caller.expires_at,
    )
