"""Work on a school beneath HTTP, as its owner's request would do it."""

from uuid import UUID, uuid4

from bagatelle_service.school.caller import Caller
from bagatelle_service.school.roles import SCOPES_OF
from bagatelle_service.school.work import Work
from sqlalchemy.ext.asyncio import AsyncSession

from tests.integration.school import SchoolOfTest


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
