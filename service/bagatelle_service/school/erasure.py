"""What becomes of each table when a student is erased: one rule for every table, and no table without one."""

from typing import Any, Final
from uuid import UUID

from msgspec import Struct
from sqlalchemy import ColumnElement, and_, exists, or_

from bagatelle_service.database.tables import (
    AnsweredOffer,
    AuditEntry,
    CatalogueSnapshot,
    DaySheet,
    DaysOff,
    Erasure,
    Group,
    GroupStudent,
    GroupTeacher,
    Guardian,
    Identity,
    Installation,
    Invitation,
    KeptAnswer,
    LogEntry,
    OperatorToken,
    PermitWindow,
    PreparedPlan,
    PreparedPlanRevision,
    Routine,
    RoutineRevision,
    School,
    SchoolCatalogue,
    Staff,
    StoredTask,
    Student,
    Table,
    Token,
)


class Found(Struct, frozen=True, kw_only=True):
    """Where a student and the student's guardians are found in the tables."""

    student_id: UUID
    guardian_ids: tuple[UUID, ...]
    pseudonyms: tuple[UUID, ...]
    """The student's and the guardians', of those removed too."""
    subject: UUID
    """The student's."""
    shown_ids: tuple[UUID, ...]
    """Of what they are let in by, tokens and the like: permits are counted by these."""
    routine_ids: tuple[UUID, ...]
    snapshot_hashes: tuple[str, ...]
    """Of the catalogues that the student's plans were made from."""


class Delete(Struct, frozen=True):
    """Rows that go."""

    rows: Any
    """From `Found` to what holds of them, in SQL."""


class Blank(Struct, frozen=True):
    """Rows that stay and lose something."""

    rows: Any
    """From `Found` to what holds of them, in SQL."""
    values: dict[str, Any]
    """What stands there instead."""


class Keep(Struct, frozen=True):
    """A table that holds nothing of a student."""

    reason: str


Rule = tuple[Delete | Blank, ...] | Keep


def _members_own(table: Any) -> tuple[Delete, ...]:
    """Of what belongs to one member: the student's, and the guardians' of the student."""

    def rows(found: Found) -> ColumnElement[bool]:
        return or_(table.student_id == found.student_id, table.guardian_id.in_(found.guardian_ids))

    return (Delete(rows),)


def _students_own(table: Any) -> tuple[Delete, ...]:
    return (Delete(lambda found: table.student_id == found.student_id),)


def _of_routines(table: Any) -> tuple[Delete, ...]:
    return (Delete(lambda found: table.routine_id.in_(found.routine_ids)),)


def _unused_snapshots(found: Found) -> ColumnElement[bool]:
    used = exists().where(
        PreparedPlanRevision.school_id == CatalogueSnapshot.school_id,
        PreparedPlanRevision.catalogue_hash == CatalogueSnapshot.hash,
    )
    return and_(CatalogueSnapshot.hash.in_(found.snapshot_hashes), ~used)


RULES: Final[dict[type[Table], Rule]] = {
    Installation: Keep("one row, which names the installation"),
    School: Keep("what the school says of itself"),
    SchoolCatalogue: Keep("exercises of the school's own, which are about nobody"),
    OperatorToken: Keep("tokens of whoever runs the installation"),
    Staff: Keep("owners and teachers, who are no students"),
    Group: Keep("a group's name, which is the school's; who is in it stands in group_student"),
    GroupTeacher: Keep("who teaches a group"),
    Erasure: Keep(
        "a hash of the student's id, from which the id cannot be found: what a restored backup needs"
    ),
    Student: (Delete(lambda found: Student.id == found.student_id),),
    Guardian: _students_own(Guardian),
    GroupStudent: _students_own(GroupStudent),
    Identity: _members_own(Identity),
    Token: _members_own(Token),
    Invitation: _members_own(Invitation),
    PermitWindow: (Delete(lambda found: PermitWindow.token_id.in_(found.shown_ids)),),
    # A copy in another student's hands stays theirs, and no longer says whose it was.
    Routine: (
        *_students_own(Routine),
        Blank(
            lambda found: Routine.origin_id.in_(found.routine_ids),
            {"origin_id": None, "origin_revision": None, "copied_revision": None},
        ),
    ),
    # Revisions, plans and sheets hold learners' own wording.
    RoutineRevision: _of_routines(RoutineRevision),
    StoredTask: _of_routines(StoredTask),
    PreparedPlan: _students_own(PreparedPlan),
    PreparedPlanRevision: _of_routines(PreparedPlanRevision),
    CatalogueSnapshot: (Delete(_unused_snapshots),),
    LogEntry: _students_own(LogEntry),
    DaySheet: _students_own(DaySheet),
    DaysOff: _students_own(DaysOff),
    AnsweredOffer: _students_own(AnsweredOffer),
    # That a member of the staff or an app did something stays, and no longer says to whom. What the student or a
    # guardian did was done to the student's own record: without it an entry tells nothing but when they were here,
    # under a pseudonym that would tie the rest together. So it goes.
    AuditEntry: (
        Delete(lambda found: AuditEntry.actor.in_(found.pseudonyms)),
        Blank(lambda found: AuditEntry.subject == found.subject, {"subject": None}),
    ),
    # What was about several students was done, and is not to be done again where the request comes again. The
    # request's hash goes too: of a short request somebody could guess the words.
    KeptAnswer: (
        Delete(lambda found: and_(KeptAnswer.student_id == found.student_id, ~KeptAnswer.about_many)),
        Blank(
            lambda _: KeptAnswer.about_many,
            {"student_id": None, "body": None, "request_hash": b""},
        ),
    ),
}
