"""Everything about one student, as one document."""

from datetime import date, datetime
from typing import Any
from uuid import UUID

from msgspec import Struct


class ExportedPerson(Struct, frozen=True, kw_only=True):
    """What is stored of the student as a person."""

    id: UUID
    key: str | None
    display_name: str
    time_zone: str
    pseudonym: UUID
    """How the trail names the student."""
    created_at: datetime
    archived_at: datetime | None
    revision: int


class ExportedGroup(Struct, frozen=True, kw_only=True):
    """A group that the student is in."""

    id: UUID
    name: str


class ExportedGuardian(Struct, frozen=True, kw_only=True):
    """Somebody who may read about the student."""

    id: UUID
    display_name: str | None
    created_at: datetime


class ExportedIdentity(Struct, frozen=True, kw_only=True):
    """A way of the student's to get in with an outside issuer's word. Stored is a hash, which is left out here."""

    id: UUID
    created_at: datetime


class ExportedToken(Struct, frozen=True, kw_only=True):
    """A token of the student's, without its hash."""

    id: UUID
    label: str | None
    scopes: tuple[str, ...]
    created_at: datetime
    expires_at: datetime | None
    revoked_at: datetime | None
    last_used_at: datetime | None


class ExportedInvitation(Struct, frozen=True, kw_only=True):
    """An invitation of the student's, without its hash."""

    id: UUID
    created_at: datetime
    expires_at: datetime
    revoked_at: datetime | None
    used_at: datetime | None


class ExportedRequests(Struct, frozen=True, kw_only=True):
    """How many requests of one minute were granted; kept for some minutes."""

    token: UUID
    """The token's id, or that of the identity where an outside issuer lets the student in."""
    minute: datetime
    granted: int


class ExportedRoutine(Struct, frozen=True, kw_only=True):
    """A routine of the student's."""

    id: UUID
    key: str | None
    revision: int
    created_at: datetime
    archived_at: datetime | None


class ExportedRevision(Struct, frozen=True, kw_only=True):
    """A routine as it stood."""

    routine: UUID
    number: int
    body: Any
    created_at: datetime


class ExportedTask(Struct, frozen=True, kw_only=True):
    """A task that a routine has or had."""

    id: UUID
    routine: UUID
    key: str
    created_at: datetime
    removed_at: datetime | None


class ExportedPlan(Struct, frozen=True, kw_only=True):
    """A prepared plan."""

    id: UUID
    routine: UUID
    kind: str
    revision: int
    """The newest of `plan_revisions`."""
    created_at: datetime
    archived_at: datetime | None


class ExportedPlanRevision(Struct, frozen=True, kw_only=True):
    """A prepared plan as it stood."""

    plan: UUID
    number: int
    routine: UUID
    routine_revision: int
    catalogue_hash: str
    """Which of `catalogue_snapshots` it was made from."""
    made_with: Any
    choices: Any
    body: Any
    created_at: datetime


class ExportedSnapshot(Struct, frozen=True, kw_only=True):
    """What was said of the exercises that plans were made from."""

    hash: str
    body: Any
    created_at: datetime


class ExportedLogEntry(Struct, frozen=True, kw_only=True):
    """What was done of one task on one day."""

    id: UUID
    day: date
    task: UUID | None
    routine: UUID | None
    routine_revision: int | None
    exercise: str | None
    exercise_version: str | None
    units: Any
    area: str | None
    step: str | None
    kind: str
    seconds: int
    done_when_met: bool | None
    revision: int
    created_at: datetime
    removed_at: datetime | None


class ExportedDaySheet(Struct, frozen=True, kw_only=True):
    """What the student was to do on one date."""

    day: date
    plan: UUID
    plan_revision: int
    made_from: Any
    body: Any
    revision: int
    created_at: datetime


class ExportedDaysOff(Struct, frozen=True, kw_only=True):
    """The days on which the student does not mean to practise."""

    body: Any
    revision: int
    created_at: datetime


class ExportedAnsweredOffer(Struct, frozen=True, kw_only=True):
    """A small change that was offered, and taken or put aside for good."""

    key: str
    answer: str
    created_at: datetime


class ExportedTrailEntry(Struct, frozen=True, kw_only=True):
    """Who read or changed something about the student, or what the student did."""

    created_at: datetime
    actor: UUID
    """A pseudonym."""
    actor_role: str
    operation: str
    about_the_student: bool
    """False: the student did it, to nobody's record in particular."""


class ExportedKeptAnswer(Struct, frozen=True, kw_only=True):
    """An answer that is kept for a day, in case that a request comes again. Its body cannot be read here."""

    created_at: datetime
    has_body: bool


class StudentExport(Struct, frozen=True, kw_only=True):
    """Everything about one student."""

    exported_at: datetime
    school: UUID
    keeps_health_facts: bool
    """Whether the school stores facts about bodies."""
    retention_days: int | None
    """After so many days logs, day sheets and the trail go; null: never by themselves."""
    person: ExportedPerson
    groups: tuple[ExportedGroup, ...]
    guardians: tuple[ExportedGuardian, ...]
    identities: tuple[ExportedIdentity, ...]
    tokens: tuple[ExportedToken, ...]
    invitations: tuple[ExportedInvitation, ...]
    requests: tuple[ExportedRequests, ...]
    routines: tuple[ExportedRoutine, ...]
    routine_revisions: tuple[ExportedRevision, ...]
    tasks: tuple[ExportedTask, ...]
    plans: tuple[ExportedPlan, ...]
    plan_revisions: tuple[ExportedPlanRevision, ...]
    catalogue_snapshots: tuple[ExportedSnapshot, ...]
    log_entries: tuple[ExportedLogEntry, ...]
    day_sheets: tuple[ExportedDaySheet, ...]
    days_off: tuple[ExportedDaysOff, ...]
    answered_offers: tuple[ExportedAnsweredOffer, ...]
    trail: tuple[ExportedTrailEntry, ...]
    kept_answers: tuple[ExportedKeptAnswer, ...]
