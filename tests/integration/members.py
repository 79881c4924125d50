"""Members of a school made beneath HTTP, with tokens of their own."""

from uuid import UUID, uuid4

from bagatelle_service.database.tables import Guardian, Staff, Student
from bagatelle_service.school.caller import Caller
from bagatelle_service.school.roles import SCOPES_OF
from bagatelle_service.school.tokens import member_token
from bagatelle_service.school.work import Work
from sqlalchemy.ext.asyncio import AsyncSession

from tests.integration.school import As, SchoolOfTest


def work_of(school: SchoolOfTest, session: AsyncSession) -> Work:
    """Return what the school's owner would do in a session."""
    caller = Caller(
        role="owner",
        scopes=SCOPES_OF["owner"],
        token_id=uuid4(),
        pseudonym=uuid4(),
        secret="",
        school_id=UUID(school.id),
    )
    return Work(
        session=session,
        caller=caller,
        school_id=UUID(school.id),
        now=school.service.clock(),
        operation="of_a_test",
    )


def teacher_of(school: SchoolOfTest, name: str = "Teacher") -> tuple[str, As]:
    """Make a teacher; return the id and somebody who asks as the teacher."""
    row = Staff(
        school_id=UUID(school.id),
        id=uuid4(),
        role="teacher",
        display_name=name,
        pseudonym=uuid4(),
        revision=1,
        created_at=school.service.clock(),
        archived_at=None,
    )
    return str(row.id), _let_in(school, row)


def student_as(school: SchoolOfTest, student_id: str) -> As:
    """Return somebody who asks as a student that there is."""

    async def find() -> Student:
        async with school.service.api.storage.read(UUID(school.id)) as session:
            return await session.get_one(Student, (UUID(school.id), UUID(student_id)))

    return _let_in(school, school.service.api.run(find()), is_new=False)


def guardian_as(school: SchoolOfTest, student_id: str) -> As:
    """Make a guardian of a student, and return somebody who asks as the guardian."""
    row = Guardian(
        school_id=UUID(school.id),
        id=uuid4(),
        student_id=UUID(student_id),
        display_name=None,
        pseudonym=uuid4(),
        created_at=school.service.clock(),
    )
    return _let_in(school, row)


def _let_in(school: SchoolOfTest, member: Staff | Student | Guardian, *, is_new: bool = True) -> As:
    async def make() -> str:
        async with school.service.api.storage.write(UUID(school.id)) as session:
            if is_new:
                session.add(member)
                await session.flush()
            token, secret = member_token(work_of(school, session), member)
            session.add(token)
            return secret

    return As(school.service.api, school.service.api.run(make()))
