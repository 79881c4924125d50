"""Two transactions of PostgreSQL that wait for each other: one is ended, and told to come again."""

import asyncio
from uuid import UUID

import pytest
from bagatelle_service.database.errors import BusyError
from bagatelle_service.database.tables import Student
from sqlalchemy import update

from tests.integration.databases import migrated_postgresql_database
from tests.integration.school import service_on


@pytest.mark.postgresql
def test_of_two_who_wait_for_each_other_one_comes_again() -> None:
    with migrated_postgresql_database() as url, service_on(url) as service:
        school = service.school()
        one, other = (UUID(school.student(name)["id"]) for name in ("Ilse", "Odd"))
        both_hold_one = asyncio.Barrier(2)

        async def change(first: UUID, second: UUID) -> None:
            async with service.api.storage.write(UUID(school.id)) as session:
                for student_id in (first, second):
                    await session.execute(
                        update(Student).where(Student.id == student_id).values(time_zone="UTC")
                    )
                    if student_id == first:
                        await both_hold_one.wait()

        async def crosswise() -> tuple[BaseException | None, ...]:
            return await asyncio.gather(change(one, other), change(other, one), return_exceptions=True)

        ended = [error for error in service.api.run(crosswise()) if error is not None]
        assert [type(error) for error in ended] == [BusyError]
