"""Export a student: one exporter for every table, or the reason why it holds nothing of a student."""

from collections.abc import Callable, Mapping
from typing import Any, Final, TypeVar

import msgspec
from msgspec import Struct
from sqlalchemy import or_, select

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
from bagatelle_service.school import export_document as document
from bagatelle_service.school.card_bodies import read_body

Answer = TypeVar("Answer", bound=Struct)
_NONE: Final[Mapping[str, str]] = {}


class Exporter(Struct, frozen=True):
    """How the rows of a table about one student come into the document."""

    member: str
    """The document's."""
    rows: Callable[[Student], Any]
    """The query."""
    show: Callable[[Any], Struct]
    """From a row to what stands in the document."""


class NothingThere(Struct, frozen=True):
    """A table that holds nothing about a student, or nothing that is the student's to have."""

    reason: str


def _shown(kind: type[Answer], other_names: Mapping[str, str] = _NONE) -> Callable[[Any], Answer]:
    """Take the fields of a kind from a row: under their own names, or under the others given."""
    names = {field.name: other_names.get(field.name, field.name) for field in msgspec.structs.fields(kind)}
    return lambda row: kind(**{name: getattr(row, column) for name, column in names.items()})


def _with_json(
    kind: type[Answer], columns: tuple[str, ...], other_names: Mapping[str, str] = _NONE
) -> Callable[[Any], Answer]:
    """Do the same where some columns hold JSON."""
    show = _shown(kind, other_names)
    return lambda row: msgspec.structs.replace(
        show(row), **{column: msgspec.json.decode(getattr(row, column)) for column in columns}
    )


def _of_student(table: Any, *order: Any) -> Callable[[Student], Any]:
    return lambda student: select(table).where(table.student_id == student.id).order_by(*order)


def _routines_of(student: Student) -> Any:
    return select(Routine.id).where(Routine.student_id == student.id)


def _of_routines(table: Any, *order: Any) -> Callable[[Student], Any]:
    return lambda student: select(table).where(table.routine_id.in_(_routines_of(student))).order_by(*order)


def _groups(student: Student) -> Any:
    of_student = select(GroupStudent.group_id).where(GroupStudent.student_id == student.id)
    return select(Group).where(Group.id.in_(of_student)).order_by(Group.created_at, Group.id)


def _snapshots(student: Student) -> Any:
    plans = PreparedPlanRevision
    hashes = select(plans.catalogue_hash).where(plans.routine_id.in_(_routines_of(student)))
    return (
        select(CatalogueSnapshot).where(CatalogueSnapshot.hash.in_(hashes)).order_by(CatalogueSnapshot.hash)
    )


def _permits(student: Student) -> Any:
    # Whom an outside issuer lets in is counted by the identity.
    shown = (select(table.id).where(table.student_id == student.id) for table in (Token, Identity))
    counted = or_(*(PermitWindow.token_id.in_(ids) for ids in shown))
    return select(PermitWindow).where(counted).order_by(PermitWindow.minute, PermitWindow.token_id)


def _trail(student: Student) -> Any:
    about = (AuditEntry.subject == student.pseudonym) | (AuditEntry.actor == student.pseudonym)
    return select(AuditEntry).where(about).order_by(AuditEntry.created_at, AuditEntry.id)


def _shown_token(row: Token) -> document.ExportedToken:
    return document.ExportedToken(
        id=row.id,
        label=row.label,
        scopes=tuple(row.scopes.split()),
        created_at=row.created_at,
        expires_at=row.expires_at,
        revoked_at=row.revoked_at,
        last_used_at=row.last_used_at,
    )


def _shown_plan_revision(row: PreparedPlanRevision) -> document.ExportedPlanRevision:
    return document.ExportedPlanRevision(
        plan=row.plan_id,
        number=row.number,
        routine=row.routine_id,
        routine_revision=row.routine_revision,
        catalogue_hash=row.catalogue_hash,
        made_with=msgspec.json.decode(row.made_with),
        choices=msgspec.json.decode(row.choices),
        body=msgspec.json.decode(read_body(row.body)),
        created_at=row.created_at,
    )


def _shown_entry(row: AuditEntry) -> document.ExportedTrailEntry:
    return document.ExportedTrailEntry(
        created_at=row.created_at,
        actor=row.actor,
        actor_role=row.actor_role,
        operation=row.operation,
        about_the_student=row.subject is not None,
    )


def _shown_answer(row: KeptAnswer) -> document.ExportedKeptAnswer:
    return document.ExportedKeptAnswer(created_at=row.created_at, has_body=row.body is not None)


EXPORTERS: Final[dict[type[Table], Exporter | NothingThere]] = {
    Installation: NothingThere("one row, which names the installation"),
    School: NothingThere("the school's own; what it says of keeping data stands at the head of the document"),
    SchoolCatalogue: NothingThere("exercises of the school's own, which are about nobody"),
    OperatorToken: NothingThere("tokens of whoever runs the installation"),
    Staff: NothingThere("owners and teachers, who are no students"),
    GroupTeacher: NothingThere("who teaches a group"),
    GroupStudent: NothingThere("only ties a student to the groups that the document names"),
    Erasure: NothingThere("of whoever is erased there is nothing to export"),
    Student: Exporter(
        "person",
        lambda student: select(Student).where(Student.id == student.id),
        _shown(document.ExportedPerson),
    ),
    Group: Exporter("groups", _groups, _shown(document.ExportedGroup)),
    # How a guardian gets in, and when, is the guardian's to know: another reads this document too.
    Guardian: Exporter(
        "guardians", _of_student(Guardian, Guardian.created_at), _shown(document.ExportedGuardian)
    ),
    Identity: Exporter(
        "identities", _of_student(Identity, Identity.created_at), _shown(document.ExportedIdentity)
    ),
    Token: Exporter("tokens", _of_student(Token, Token.created_at), _shown_token),
    Invitation: Exporter(
        "invitations", _of_student(Invitation, Invitation.created_at), _shown(document.ExportedInvitation)
    ),
    PermitWindow: Exporter("requests", _permits, _shown(document.ExportedRequests, {"token": "token_id"})),
    Routine: Exporter(
        "routines", _of_student(Routine, Routine.created_at, Routine.id), _shown(document.ExportedRoutine)
    ),
    RoutineRevision: Exporter(
        "routine_revisions",
        _of_routines(RoutineRevision, RoutineRevision.routine_id, RoutineRevision.number),
        _with_json(document.ExportedRevision, ("body",), {"routine": "routine_id"}),
    ),
    StoredTask: Exporter(
        "tasks",
        _of_routines(StoredTask, StoredTask.routine_id, StoredTask.created_at, StoredTask.id),
        _shown(document.ExportedTask, {"routine": "routine_id"}),
    ),
    PreparedPlan: Exporter(
        "plans",
        _of_student(PreparedPlan, PreparedPlan.created_at, PreparedPlan.id),
        _shown(document.ExportedPlan, {"routine": "routine_id"}),
    ),
    PreparedPlanRevision: Exporter(
        "plan_revisions",
        _of_routines(PreparedPlanRevision, PreparedPlanRevision.plan_id, PreparedPlanRevision.number),
        _shown_plan_revision,
    ),
    CatalogueSnapshot: Exporter(
        "catalogue_snapshots", _snapshots, _with_json(document.ExportedSnapshot, ("body",))
    ),
    LogEntry: Exporter(
        "log_entries",
        _of_student(LogEntry, LogEntry.day, LogEntry.id),
        _with_json(document.ExportedLogEntry, ("units",), {"task": "task_id", "routine": "routine_id"}),
    ),
    DaySheet: Exporter(
        "day_sheets",
        _of_student(DaySheet, DaySheet.day),
        _with_json(document.ExportedDaySheet, ("body", "made_from"), {"plan": "plan_id"}),
    ),
    DaysOff: Exporter(
        "days_off",
        _of_student(DaysOff, DaysOff.created_at),
        _with_json(document.ExportedDaysOff, ("body",)),
    ),
    AnsweredOffer: Exporter(
        "answered_offers",
        _of_student(AnsweredOffer, AnsweredOffer.created_at, AnsweredOffer.key),
        _shown(document.ExportedAnsweredOffer),
    ),
    AuditEntry: Exporter("trail", _trail, _shown_entry),
    KeptAnswer: Exporter("kept_answers", _of_student(KeptAnswer, KeptAnswer.created_at), _shown_answer),
}
