"""Groups, put into the database for tests of who reaches whom."""

from uuid import UUID, uuid4

from bagatelle_service.database.tables import Group, GroupStudent, GroupTeacher

from tests.integration.school import SchoolOfTest


def teach(school: SchoolOfTest, staff_id: str, student_id: str) -> None:
    """Make a group of one teacher and one student."""

    async def store() -> None:
        school_id, group_id = UUID(school.id), uuid4()
        async with school.service.api.storage.write(school_id) as session:
            session.add(
                Group(
                    school_id=school_id,
                    id=group_id,
                    name="Tuesday",
                    revision=1,
                    created_at=school.service.clock(),
                    archived_at=None,
                )
            )
            await session.flush()
            session.add(GroupTeacher(school_id=school_id, group_id=group_id, staff_id=UUID(staff_id)))
            session.add(GroupStudent(school_id=school_id, group_id=group_id, student_id=UUID(student_id)))

    school.service.api.run(store())
