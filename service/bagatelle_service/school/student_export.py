"""What a student has a right to see: all of it, at once."""

from typing import Any
from uuid import UUID

from bagatelle_service.database.tables import School
from bagatelle_service.school.answers import Made, made
from bagatelle_service.school.export_document import StudentExport
from bagatelle_service.school.exporting import EXPORTERS, Exporter
from bagatelle_service.school.work import Work


async def export_student(work: Work, student_id: UUID) -> Made:
    """Export everything about a student.

    :raises MissingError: where the school has no such student.
    :raises NotAllowedError: where the caller does not reach them.
    """
    student = await work.student(student_id)
    school = await work.session.get_one(School, work.school_id)
    members: dict[str, Any] = {}
    for exporter in EXPORTERS.values():
        if isinstance(exporter, Exporter):
            rows = await work.session.scalars(exporter.rows(student))
            members[exporter.member] = tuple(map(exporter.show, rows))
    (members["person"],) = members["person"]
    if work.caller.guardian_id is not None:
        # As in the list of guardians: one sees no other.
        own = work.caller.guardian_id
        members["guardians"] = tuple(each for each in members["guardians"] if each.id == own)
    return made(
        StudentExport(
            exported_at=work.now,
            school=work.school_id,
            keeps_health_facts=school.keeps_health_facts,
            retention_days=school.retention_days,
            **members,
        )
    )
