"""One request's work on a school: the session, who asks, and what is noted of it."""

from datetime import datetime
from uuid import UUID, uuid4

from msgspec import Struct
from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bagatelle_service.database.tables import AuditEntry, Guardian, Student
from bagatelle_service.school.caller import Caller
from bagatelle_service.school.errors import ChangedMeanwhileError, MissingError, NoMatchGivenError
from bagatelle_service.school.reach import find_student


class Work(Struct, kw_only=True):
    """One request's work, in one transaction."""

    session: AsyncSession
    caller: Caller
    school_id: UUID
    """The school that is worked on; the caller's own, but for the operator's."""
    now: datetime
    operation: str
    """The operation's id in the contract; what the trail calls it."""
    given_revisions: tuple[int, ...] | None = None
    """What If-Match said; None where it was absent, empty where it named none of ours."""
    any_revision: bool = False
    """Whether If-Match was `*`."""
    subject: UUID | None = None
    """The pseudonym of the one student whom it was about."""
    student_id: UUID | None = None

    async def hold_caller(self) -> None:
        """Keep an erasure of the student or guardian who asks waiting until the work is done.

        Taken before all else and in the order in which an erasure takes them, so that neither waits for the other.
        """
        for table, member_id in ((Student, self.caller.student_id), (Guardian, self.caller.guardian_id)):
            if member_id is not None:
                held = select(table.id).where(table.id == member_id)
                await self.session.execute(held.with_for_update(read=True, key_share=True))

    async def student(self, student_id: UUID) -> Student:
        """Find a student whom the caller reaches; the work is about that student from now on.

        :raises MissingError: where the school has no such student.
        :raises NotAllowedError: where the caller does not reach them.
        """
        student = await find_student(self.session, self.caller, student_id)
        self.is_about(student)
        return student

    async def hold_student(self, student_id: UUID) -> Student:
        """Find a student as `student` does; others who hold them wait until the work is done.

        :raises MissingError: where the school has no such student.
        :raises NotAllowedError: where the caller does not reach them.
        """
        student = await self.student(student_id)
        # Weaker than what an erasure takes, and at peace with what `hold_caller` and references take.
        held = select(Student.id).where(Student.id == student.id).with_for_update(key_share=True)
        if await self.session.scalar(held) is None:
            raise MissingError("student")
        return student

    def is_about(self, student: Student) -> None:
        """Say whom the work is about."""
        self.subject, self.student_id = student.pseudonym, student.id

    def expect(self, revision: int) -> None:
        """See that the change was made from the newest revision.

        :raises NoMatchGivenError: where it does not say from which it was made.
        :raises ChangedMeanwhileError: where it was made from another.
        """
        if self.any_revision:
            return
        if self.given_revisions is None:
            raise NoMatchGivenError(
                "A change needs the header If-Match with the ETag of what it changes, as GET sends it."
            )
        if revision not in self.given_revisions:
            raise ChangedMeanwhileError(
                f'Its ETag is now "{revision}". Get it again, and make the change from there.'
            )

    def entry(self, *, about: UUID | None = None) -> AuditEntry:
        """Say for the trail who did this, to whom.

        :param about: the pseudonym of one student of several; without it, of the one whom the work is about.
        """
        return AuditEntry(
            school_id=self.school_id,
            id=uuid4(),
            actor=self.caller.pseudonym,
            actor_role=self.caller.role,
            operation=self.operation,
            subject=about or self.subject,
            created_at=self.now,
        )
