"""A student about whom every table says something, in words that can be found again."""

from datetime import date, datetime, timedelta
from typing import Any
from uuid import UUID, uuid4

from bagatelle_service.database.tables import (
    AuditEntry,
    Group,
    GroupStudent,
    GroupTeacher,
    Guardian,
    Identity,
    Invitation,
    KeptAnswer,
    LogEntry,
    PermitWindow,
    Staff,
    Student,
    Table,
    Token,
)
from bagatelle_service.school.secrets import hash_of, new_token
from msgspec import Struct
from sqlalchemy import select

from tests.integration.days_of_student import PARTS, day_rows, plan_body, routine_rows
from tests.integration.school import As, SchoolOfTest


class WholeStudent(Struct, kw_only=True):
    """The student, and everything by which something of them could be told."""

    id: UUID
    key: str
    name: str
    pseudonym: UUID
    guardian_id: UUID
    guardian_pseudonym: UUID
    routine_id: UUID
    task_id: UUID
    plan_id: UUID
    log_id: UUID
    group_id: UUID
    snapshot_hash: str
    wording: dict[str, str]
    """By where it stands: words of the student's."""
    own: As
    guardian: As
    teacher: As
    teacher_pseudonym: UUID

    @property
    def path(self) -> str:
        return f"/v1/students/{self.id}"

    def secrets(self) -> dict[str, bytes]:
        """List what must not be found any more, as it would stand in a file."""
        ids = {
            "id": self.id,
            "pseudonym": self.pseudonym,
            "guardian's id": self.guardian_id,
            "guardian's pseudonym": self.guardian_pseudonym,
            "routine's id": self.routine_id,
            "task's id": self.task_id,
            "plan's id": self.plan_id,
            "log entry's id": self.log_id,
        }
        texts = {"key": self.key, "name": self.name, "snapshot's hash": self.snapshot_hash, **self.wording}
        found = {name: text.encode() for name, text in texts.items()}
        # Plans are stored compressed: so their words are looked for too.
        found["plan"] = plan_body(self.wording["plan"])[16:64]
        for name, value in ids.items():
            found |= {
                f"{name} with hyphens": str(value).encode(),
                f"{name} without": value.hex.encode(),
                f"{name} as bytes": value.bytes,
            }
        return found


def whole_student(school: SchoolOfTest, mark: str = "quince") -> WholeStudent:
    """Make a student, and rows about them in every table that may have some."""
    key, name = f"{mark}-key", f"Marigold {mark} Display"
    made = school.student(name, key=key)
    storage, school_id, now = school.service.api.storage, UUID(school.id), school.service.clock()
    wording = {part: f"{part}-words-of-{mark}" for part in PARTS}
    secrets = {role: new_token() for role in ("student", "guardian", "teacher")}

    async def fill() -> WholeStudent:
        async with storage.write(school_id) as session:
            student = (await session.scalars(select(Student).where(Student.id == UUID(made["id"])))).one()
            whole = _whole(
                student, wording, {role: As(school.service.api, secrets[role]) for role in secrets}
            )
            for rows in (
                _people(whole, now),
                routine_rows(whole, now),
                day_rows(whole, now),
                _traces(whole, now, secrets),
            ):
                # One table after the other, as there is no unit of work that knows which refers to which.
                for row in rows:
                    if not isinstance(row, PermitWindow):
                        row.school_id = school_id
                    session.add(row)
                    await session.flush()
            return whole

    return school.service.api.run(fill())


def _whole(student: Student, wording: dict[str, str], tokens: dict[str, As]) -> WholeStudent:
    return WholeStudent(
        id=student.id,
        key=student.key or "",
        name=student.display_name,
        pseudonym=student.pseudonym,
        guardian_id=uuid4(),
        guardian_pseudonym=uuid4(),
        routine_id=uuid4(),
        task_id=uuid4(),
        plan_id=uuid4(),
        log_id=uuid4(),
        group_id=uuid4(),
        snapshot_hash=hash_of(wording["snapshot"]).hex(),
        wording=wording,
        own=tokens["student"],
        guardian=tokens["guardian"],
        teacher=tokens["teacher"],
        teacher_pseudonym=uuid4(),
    )


def _people(whole: WholeStudent, now: datetime) -> list[Any]:
    teacher = uuid4()
    return [
        Staff(
            id=teacher,
            role="teacher",
            display_name="Teacher",
            pseudonym=whole.teacher_pseudonym,
            revision=1,
            created_at=now,
        ),
        Guardian(
            id=whole.guardian_id,
            student_id=whole.id,
            display_name=f"Parent of {whole.name}",
            pseudonym=whole.guardian_pseudonym,
            created_at=now,
        ),
        Group(id=whole.group_id, name="Tuesdays", revision=1, created_at=now),
        GroupTeacher(group_id=whole.group_id, staff_id=teacher),
        GroupStudent(group_id=whole.group_id, student_id=whole.id),
        Identity(id=uuid4(), hash=hash_of(f"issuer {whole.id}"), student_id=whole.id, created_at=now),
        Identity(id=uuid4(), hash=hash_of(f"issuer {teacher}"), staff_id=teacher, created_at=now),
        Identity(
            id=uuid4(), hash=hash_of(f"guardian {whole.id}"), guardian_id=whole.guardian_id, created_at=now
        ),
        _token(whole.teacher, "teacher", whole.teacher_pseudonym, now, staff_id=teacher),
    ]


def _traces(whole: WholeStudent, now: datetime, secrets: dict[str, str]) -> list[Any]:
    own = _token(whole.own, "student", whole.pseudonym, now, student_id=whole.id)
    guardians = _token(
        whole.guardian, "guardian", whole.guardian_pseudonym, now, guardian_id=whole.guardian_id
    )
    later = now + timedelta(days=7)
    return [
        own,
        guardians,
        *(
            Invitation(id=uuid4(), hash=hash_of(new_token()), created_at=now, expires_at=later, **whose)
            for whose in ({"student_id": whole.id}, {"guardian_id": whole.guardian_id})
        ),
        *(PermitWindow(token_id=token.id, minute=now, granted=30) for token in (own, guardians)),
        entry(whole.teacher_pseudonym, "teacher", "show_routine", whole.pseudonym, now),
        entry(whole.pseudonym, "student", "change_routine", whole.pseudonym, now),
        entry(whole.pseudonym, "student", "make_token", None, now),
        entry(whole.guardian_pseudonym, "guardian", "show_student", whole.pseudonym, now),
        kept(secrets["student"], whole.id, now, about_many=False),
        kept(secrets["teacher"], whole.id, now, about_many=True),
    ]


def _token(of: As, role: str, pseudonym: UUID, now: datetime, **whose: UUID) -> Token:
    scopes = "plans.make routines.read students.read tokens.change"
    return Token(
        id=uuid4(),
        hash=hash_of(of.secret),
        role=role,
        scopes=scopes,
        pseudonym=pseudonym,
        created_at=now,
        **whose,
    )


def entry(actor: UUID, role: str, operation: str, subject: UUID | None, now: datetime) -> AuditEntry:
    return AuditEntry(
        id=uuid4(), actor=actor, actor_role=role, operation=operation, subject=subject, created_at=now
    )


def kept(mark: str, student_id: UUID | None, now: datetime, *, about_many: bool) -> KeptAnswer:
    return KeptAnswer(
        key_hash=hash_of(f"key {mark} {about_many}"),
        request_hash=hash_of(f"request {mark}"),
        student_id=student_id,
        about_many=about_many,
        body=b"encrypted",
        created_at=now,
    )


def rows_of_tables(school: SchoolOfTest) -> dict[str, list[dict[str, Any]]]:
    """Read every row of every table, as the database gives it."""

    async def read() -> dict[str, list[dict[str, Any]]]:
        found: dict[str, list[dict[str, Any]]] = {}
        async with school.service.api.storage.operate(UUID(school.id), writes=False) as session:
            for table in Table.metadata.sorted_tables:
                rows = await session.execute(select(table))
                found[table.name] = [dict(row._mapping) for row in rows]
        return found

    return school.service.api.run(read())


def log_entry(student_id: UUID, day: date, now: datetime) -> LogEntry:
    """Make an entry of free playing."""
    return LogEntry(
        id=uuid4(),
        student_id=student_id,
        units="[]",
        day=day,
        kind="usual",
        seconds=60,
        revision=1,
        created_at=now,
    )
