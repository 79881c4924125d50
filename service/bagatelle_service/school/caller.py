"""Who asks."""

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

    def __repr__(self) -> str:
        """Say who it is, and nothing of the secret."""
        return f"Caller({self.role}, token {self.token_id})"
