"""A student's export: complete, for whom it is, and without what is another's."""

from typing import Any
from uuid import UUID, uuid4

import msgspec
from bagatelle_service.database.tables import PermitWindow, Table
from bagatelle_service.school.export_document import StudentExport
from bagatelle_service.school.exporting import EXPORTERS, Exporter, NothingThere

from tests.integration.problem_checks import problem_in
from tests.integration.school import SchoolOfTest
from tests.integration.whole_student import WholeStudent, whole_student


def tables_of_the_models() -> set[str]:
    return set(Table.metadata.tables)


def test_every_table_is_exported_or_says_why_not() -> None:
    assert {model.__tablename__ for model in EXPORTERS} == tables_of_the_models()
    reasons = [each.reason for each in EXPORTERS.values() if isinstance(each, NothingThere)]
    assert all(reasons)
    members = [each.member for each in EXPORTERS.values() if isinstance(each, Exporter)]
    # All that the document has, but for the few facts of the school at its head.
    assert sorted([*members, "exported_at", "school", "keeps_health_facts", "retention_days"]) == sorted(
        field.name for field in msgspec.structs.fields(StudentExport)
    )


def export_of(student: WholeStudent, school: SchoolOfTest) -> dict[str, Any]:
    response = school.owner.get(student.path + "/export")
    assert response.status_code == 200, response.text
    document: dict[str, Any] = response.json()
    msgspec.convert(document, StudentExport)
    return document


def test_everything_about_a_student_is_in_it(school: SchoolOfTest) -> None:
    student = whole_student(school)
    document = export_of(student, school)
    assert {name for name, value in document.items() if value in ([], {}, "")} == set()
    text = msgspec.json.encode(document).decode()
    for words in (student.name, student.key, str(student.pseudonym), *student.wording.values()):
        assert words in text
    for found in (student.routine_id, student.task_id, student.plan_id, student.log_id, student.group_id):
        assert str(found) in text
    assert [revision["number"] for revision in document["routine_revisions"]] == [1, 2]
    assert document["catalogue_snapshots"][0]["hash"] == document["plan_revisions"][0]["catalogue_hash"]
    about = sorted(
        (each["actor_role"], each["operation"]) for each in document["trail"] if each["about_the_student"]
    )
    assert about == [
        ("guardian", "show_student"),
        ("owner", "make_student"),
        ("student", "change_routine"),
        ("teacher", "show_routine"),
    ]
    assert {"actor_role": "student", "operation": "make_token"}.items() <= next(
        each for each in document["trail"] if not each["about_the_student"]
    ).items()


def test_requests_by_an_outside_issuers_token_are_in_it(school: SchoolOfTest) -> None:
    student = whole_student(school)
    (identity,) = export_of(student, school)["identities"]

    async def count() -> None:
        async with school.service.api.storage.write(UUID(school.id)) as session:
            session.add(PermitWindow(token_id=UUID(identity["id"]), minute=school.service.clock(), granted=7))

    school.service.api.run(count())
    counted = {each["token"]: each["granted"] for each in export_of(student, school)["requests"]}
    assert counted[identity["id"]] == 7
    assert len(counted) == 2


def test_no_hash_and_nobody_else_is_in_it(school: SchoolOfTest) -> None:
    student, other = whole_student(school), whole_student(school, "medlar")
    text = msgspec.json.encode(export_of(student, school)).decode()
    assert "medlar" not in text
    assert str(other.id) not in text
    # How the guardian gets in, and under which pseudonym the guardian reads, is the guardian's.
    document = msgspec.json.decode(text)
    assert (len(document["tokens"]), len(document["invitations"]), len(document["identities"])) == (1, 1, 1)
    assert "hash" not in {
        name for part in ("tokens", "invitations", "identities") for name in document[part][0]
    }
    assert set(document["guardians"][0]) == {"id", "display_name", "created_at"}


def test_for_whom_it_is(school: SchoolOfTest) -> None:
    student, other = whole_student(school), whole_student(school, "medlar")
    for who in (school.owner, school.app("students.read"), student.own, student.guardian, student.teacher):
        assert who.get(student.path + "/export").status_code == 200
    for who in (
        other.own,
        other.guardian,
        other.teacher,
        school.app("routines.read"),
        school.service.operator,
    ):
        problem_in(who.get(student.path + "/export"), "not-allowed")
    problem_in(school.service.school("Another").owner.get(student.path + "/export"), "unknown-id")
    problem_in(school.owner.get(f"/v1/students/{uuid4()}/export"), "unknown-id")


def test_the_trail_has_who_exported(school: SchoolOfTest) -> None:
    student = whole_student(school)
    student.teacher.get(student.path + "/export")
    student.own.get(student.path + "/export")
    exported = [each for each in export_of(student, school)["trail"] if each["operation"] == "export_student"]
    assert [each["actor"] for each in exported] == [str(student.teacher_pseudonym)]


def test_a_guardian_sees_no_other_guardian_in_it(school: SchoolOfTest) -> None:
    student = school.student()["id"]
    one, other = (school.guardian(student, display_name=name)["id"] for name in ("Aunt", "Uncle"))
    seen = school.let_in(guardian=one).get(f"/v1/students/{student}/export").json()
    assert [guardian["id"] for guardian in seen["guardians"]] == [one]
    everybody = school.let_in(student=student).get(f"/v1/students/{student}/export").json()
    assert {guardian["id"] for guardian in everybody["guardians"]} == {one, other}
