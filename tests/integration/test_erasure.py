"""Erasure: every table by its rule, and a search of everything finds nothing."""

import asyncio
from pathlib import Path
from typing import Any
from uuid import UUID, uuid4

import psycopg
import pytest
from bagatelle_service.database.errors import StorageError
from bagatelle_service.database.tables import AuditEntry, Invitation, KeptAnswer, PreparedPlanRevision, Table
from bagatelle_service.school.erasure import RULES, Blank, Delete, Keep
from sqlalchemy import update
from sqlalchemy.engine import make_url

from tests.integration.databases import _test_url, migrated_postgresql_database
from tests.integration.problem_checks import problem_in
from tests.integration.school import SchoolOfTest, service_on
from tests.integration.searching import found_in, found_in_files
from tests.integration.whole_student import WholeStudent, log_entry, rows_of_tables, whole_student

ANY = {"If-Match": "*"}


def erase(school: SchoolOfTest, student: WholeStudent) -> None:
    response = school.owner.delete(student.path, headers=ANY)
    assert (response.status_code, response.content) == (204, b""), response.text


def test_every_table_has_a_rule() -> None:
    assert {model.__tablename__ for model in RULES} == set(Table.metadata.tables)


def refers_to_student(table_name: str, seen: frozenset[str] = frozenset()) -> bool:
    """Whether foreign keys lead from a table to the student's, over others where need be."""
    referred = {key.column.table.name for key in Table.metadata.tables[table_name].foreign_keys} - seen
    return "student" in referred or any(refers_to_student(name, seen | {table_name}) for name in referred)


def test_what_refers_to_a_student_is_not_kept() -> None:
    kept = {model.__tablename__ for model, rule in RULES.items() if isinstance(rule, Keep)}
    assert {name for name in kept if refers_to_student(name)} == set()
    # Over two tables, and none at all.
    assert refers_to_student("prepared_plan_revision")
    assert not refers_to_student("staff")
    assert all(rule.reason for rule in RULES.values() if isinstance(rule, Keep))


def test_every_column_of_a_student_is_in_a_rule() -> None:
    """A table without a foreign key to students may hold something of them by other names."""
    for model, rule in RULES.items():
        columns = set(model.__table__.columns.keys())
        if columns & {
            "student_id",
            "guardian_id",
            "routine_id",
            "subject",
            "actor",
            "token_id",
            "body",
            "units",
        }:
            assert not isinstance(rule, Keep), model
            assert all(isinstance(step, Delete | Blank) for step in rule)


def test_an_erasure_needs_the_newest_revision(school: SchoolOfTest) -> None:
    path = f"/v1/students/{school.student()['id']}"
    problem_in(school.owner.delete(path), "if-match-needed")
    problem_in(school.owner.delete(path, headers={"If-Match": '"2"'}), "changed-meanwhile")
    assert school.owner.get(path).status_code == 200
    assert school.owner.delete(path, headers={"If-Match": '"1"'}).status_code == 204
    problem_in(school.owner.get(path), "unknown-id")
    problem_in(school.owner.delete(path, headers=ANY), "unknown-id")


def test_who_may_erase(school: SchoolOfTest) -> None:
    student = whole_student(school)
    for who in (student.own, student.guardian, student.teacher, school.app("students.change")):
        problem_in(who.delete(student.path, headers=ANY), "not-allowed")
    problem_in(school.service.school("Another").owner.delete(student.path, headers=ANY), "unknown-id")
    assert school.app("students.erase").delete(student.path, headers=ANY).status_code == 204


def test_nothing_of_an_erased_student_is_found(school: SchoolOfTest, any_database_url: str) -> None:
    others = [whole_student(school, f"other-{number}") for number in range(5)]
    student = whole_student(school)
    more = [whole_student(school, f"more-{number}") for number in range(5)]
    needles = student.secrets()
    before = found_in(any_database_url, needles)
    # The search finds what is there: every text, and every id in one form at least.
    assert {name for name in needles if " " not in name} <= before
    assert {name.removesuffix(" without").removesuffix(" with hyphens") for name in before} >= {
        name.removesuffix(" as bytes") for name in needles if name.endswith(" as bytes")
    }
    student.teacher.get(student.path)
    student.guardian.get(student.path)
    erase(school, student)
    assert found_in(any_database_url, needles) == set()
    # What was read before the erasure is written now.
    assert school.owner.get("/v1/trail").status_code == 200
    assert found_in(any_database_url, needles) == set()
    for other in (*others, *more):
        assert found_in(any_database_url, other.secrets()) >= {"name", "key", *other.wording}
    if any_database_url.startswith("sqlite"):
        file = Path(any_database_url.removeprefix("sqlite:///"))
        assert file.with_name(file.name + "-wal").exists()  # the service is up
        school.service.api.run(school.service.api.storage.engine.dispose())
        assert not file.with_name(file.name + "-wal").exists()
        assert found_in_files(file, needles) == set()


def test_others_keep_all_of_theirs(school: SchoolOfTest) -> None:
    whole_student(school, "medlar")
    before = rows_of_tables(school)
    student = whole_student(school)
    erase(school, student)
    after = rows_of_tables(school)
    # The erased student's teacher and group stay, and what staff did.
    may_be_more = {
        "audit_entry",
        "erasure",
        "group_teacher",
        "identity",
        "permit_window",
        "staff",
        "student_group",
        "token",
    }
    for name in before.keys() - may_be_more - {"kept_answer"}:
        assert after[name] == before[name], name
    for name in may_be_more - {"permit_window"}:
        assert [row for row in before[name] if row not in after[name]] == [] or name == "token", name
    assert found_ids(before["token"]) <= found_ids(after["token"])
    kept = {row["key_hash"]: row["body"] for row in after["kept_answer"]}
    # The answer about several students, which may be the erased one, is empty; the other's own is there.
    assert [kept[row["key_hash"]] for row in before["kept_answer"]] == [
        None if row["about_many"] else row["body"] for row in before["kept_answer"]
    ]


def found_ids(rows: list[dict[str, Any]]) -> set[UUID]:
    return {row["id"] for row in rows}


def test_the_trail_keeps_who_did_something_and_not_to_whom(school: SchoolOfTest) -> None:
    student = whole_student(school)
    erase(school, student)
    entries = school.owner.get("/v1/trail").json()["entries"]
    assert sorted((each["actor_role"], each["operation"]) for each in entries) == [
        ("operator", "make_school"),
        ("owner", "erase_student"),
        ("owner", "make_student"),
        ("teacher", "show_routine"),
    ]
    assert {each["subject"] for each in entries} == {None}
    assert str(student.teacher_pseudonym) in {each["actor"] for each in entries}


def test_a_snapshot_stays_while_another_plan_needs_it(school: SchoolOfTest) -> None:
    student, other = whole_student(school), whole_student(school, "medlar")

    async def share() -> None:
        async with school.service.api.storage.write(UUID(school.id)) as session:
            await session.execute(
                update(PreparedPlanRevision)
                .where(PreparedPlanRevision.plan_id == other.plan_id)
                .values(catalogue_hash=student.snapshot_hash)
            )

    school.service.api.run(share())
    erase(school, student)
    hashes = {row["hash"] for row in rows_of_tables(school)["catalogue_snapshot"]}
    assert hashes == {student.snapshot_hash, other.snapshot_hash}
    erase(school, other)
    # Its own was used by no plan at all any more, so nothing of the other's leads to it.
    assert {row["hash"] for row in rows_of_tables(school)["catalogue_snapshot"]} == {other.snapshot_hash}


def test_tokens_of_the_erased_open_nothing(school: SchoolOfTest) -> None:
    student = whole_student(school)
    assert student.own.get(student.path).status_code == 200
    erase(school, student)
    for who in (student.own, student.guardian):
        problem_in(who.get("/v1/students"), "no-token")
    assert student.teacher.get("/v1/students").json()["students"] == []


def test_the_same_key_may_be_another_students(school: SchoolOfTest) -> None:
    student = whole_student(school)
    erase(school, student)
    again = school.student("Somebody else", key=student.key)
    assert again["id"] != str(student.id)


def test_what_was_kept_of_several_is_erased_and_not_done_again(school: SchoolOfTest) -> None:
    body, headers = {"display_name": "Ilse", "time_zone": "UTC"}, {"Idempotency-Key": "first"}
    made = school.owner.post("/v1/students", body, headers=headers).json()

    async def say_that_it_was_of_several() -> None:
        async with school.service.api.storage.write(UUID(school.id)) as session:
            await session.execute(update(KeptAnswer).values(about_many=True))

    school.service.api.run(say_that_it_was_of_several())
    assert school.owner.delete(f"/v1/students/{made['id']}", headers=ANY).status_code == 204
    problem_in(school.owner.post("/v1/students", body, headers=headers), "answer-erased")
    (kept,) = rows_of_tables(school)["kept_answer"]
    assert (kept["student_id"], kept["body"], kept["request_hash"]) == (None, None, b"")
    assert school.owner.get("/v1/students").json()["students"] == []


def test_what_was_kept_of_one_goes(school: SchoolOfTest) -> None:
    headers = {"Idempotency-Key": "first"}
    made = school.owner.post(
        "/v1/students", {"display_name": "Ilse", "time_zone": "UTC"}, headers=headers
    ).json()
    assert len(rows_of_tables(school)["kept_answer"]) == 1
    assert school.owner.delete(f"/v1/students/{made['id']}", headers=ANY).status_code == 204
    assert rows_of_tables(school)["kept_answer"] == []


def test_what_a_student_makes_is_kept_as_theirs(school: SchoolOfTest) -> None:
    student = whole_student(school)
    student.own.make("/v1/tokens", {"for_whom": "me"}, headers={"Idempotency-Key": "mine"})
    owners = [row["student_id"] for row in rows_of_tables(school)["kept_answer"]]
    assert owners.count(student.id) == 3


def test_two_erasures_at_once(school: SchoolOfTest) -> None:
    student = whole_student(school)
    headers = {"Authorization": f"Bearer {school.owner.secret}", **ANY}
    answers = school.service.api.send_all([("DELETE", student.path, {"headers": headers})] * 4)
    assert sorted(answer.status_code for answer in answers) == [204, 404, 404, 404]


def test_others_write_while_a_student_is_erased(school: SchoolOfTest, any_database_url: str) -> None:
    student = whole_student(school)
    storage, school_id, now = school.service.api.storage, UUID(school.id), school.service.clock()
    refused = []

    async def log() -> None:
        row = log_entry(student.id, now.date(), now)
        row.school_id, row.exercise = school_id, student.wording["log"]
        about = AuditEntry(
            school_id=school_id,
            id=uuid4(),
            actor=student.teacher_pseudonym,
            actor_role="teacher",
            operation="log",
            subject=student.pseudonym,
            created_at=now,
        )
        try:
            async with storage.write(school_id) as session:
                session.add(row)
                await session.flush()
                session.add(about)
        except StorageError as error:
            refused.append(error)

    async def at_once() -> list[int]:
        headers = {"Authorization": f"Bearer {school.owner.secret}", **ANY}
        reads = {"Authorization": f"Bearer {student.teacher.secret}"}
        client = school.service.api._client
        writes = [log() for _ in range(6)]
        asked = [client.request("GET", student.path, headers=reads) for _ in range(6)]
        erasing = client.request("DELETE", student.path, headers=headers)
        done = await asyncio.gather(*writes[:3], *asked[:3], erasing, *writes[3:], *asked[3:])
        return [response.status_code for response in done if response is not None]

    statuses = school.service.api.run(at_once())
    assert statuses.count(204) == 1
    assert set(statuses) <= {200, 204, 403, 404}
    assert school.owner.get("/v1/trail").status_code == 200
    assert rows_of_tables(school)["log_entry"] == []
    assert found_in(any_database_url, student.secrets()) == set()


def test_a_random_life_leaves_nothing(tmp_path: Path) -> None:
    """Rows that grow and move leave copies in pages; see `tests/integration/test_wiping.py` for how many."""
    url = f"sqlite:///{tmp_path / 'life.sqlite3'}"
    with service_on(url, requests_a_minute=100_000) as service:
        school = service.school()
        students = [whole_student(school, f"mark{number:03}z") for number in range(20)]
        for number, student in enumerate(students):
            body = {
                "display_name": student.name + " and more" * (number % 9),
                "time_zone": "UTC",
                "key": student.key,
            }
            assert school.owner.put(student.path, body, revision=1).status_code == 200
        for student in students[::2]:
            erase(school, student)
            assert found_in(url, student.secrets()) == set()


@pytest.mark.postgresql
def test_statistics_keep_no_samples_of_the_erased() -> None:
    """PostgreSQL's statistics of a column hold some of its values, names and keys among them."""
    with migrated_postgresql_database() as url, service_on(url, requests_a_minute=100_000) as service:
        school = service.school()
        students = [whole_student(school, f"mark{number}") for number in range(4)]
        # As a superuser: row-level security hides statistics too.
        everything = _test_url().set(database=make_url(url).database).render_as_string(hide_password=False)
        with psycopg.connect(everything, autocommit=True) as connection:
            connection.execute("ANALYZE")
            assert students[1].name in samples(connection)
            erase(school, students[1])
            assert students[1].name not in samples(connection)
            assert students[1].key not in samples(connection)
            assert students[1].wording["task"] not in samples(connection)
            assert students[2].name in samples(connection)


def samples(connection: psycopg.Connection[Any]) -> str:
    rows = connection.execute("SELECT most_common_vals::text, histogram_bounds::text FROM pg_stats")
    return str(rows.fetchall())


def test_what_a_removed_guardian_did_goes_too(school: SchoolOfTest) -> None:
    student = school.student()
    guardian = school.guardian(student["id"])["id"]
    reader = school.let_in(guardian=guardian)
    assert reader.get(f"/v1/students/{student['id']}").status_code == 200
    reader.make("/v1/tokens", {"for_whom": "me"})
    assert school.owner.get("/v1/trail").status_code == 200  # what was read is written
    assert school.owner.delete(f"/v1/guardians/{guardian}").status_code == 204
    erased = school.owner.delete(f"/v1/students/{student['id']}", headers={"If-Match": '"1"'})
    assert erased.status_code == 204
    entries = school.owner.get("/v1/trail?limit=200").json()["entries"]
    assert {entry["actor_role"] for entry in entries} == {"owner", "operator"}


def test_what_is_noted_while_a_student_is_erased_names_nobody(school: SchoolOfTest) -> None:
    student = whole_student(school)
    storage, school_id, now = school.service.api.storage, UUID(school.id), school.service.clock()

    async def revoke_and_erase() -> int:
        async with storage.write(school_id) as session:
            revoked = update(Invitation).where(Invitation.student_id == student.id).values(revoked_at=now)
            await session.execute(revoked)
            erasing = asyncio.create_task(
                school.service.api._client.request(
                    "DELETE", student.path, headers={"Authorization": f"Bearer {school.owner.secret}", **ANY}
                )
            )
            # So that the erasure has come to the invitation, and waits.
            await asyncio.sleep(0.5)
            entry = AuditEntry(
                school_id=school_id,
                id=uuid4(),
                actor=uuid4(),
                actor_role="owner",
                operation="revoke_invitation",
                subject=student.pseudonym,
                created_at=now,
            )
            session.add(entry)
        return (await erasing).status_code

    assert school.service.api.run(revoke_and_erase()) == 204
    subjects = [row["subject"] for row in rows_of_tables(school)["audit_entry"]]
    assert student.pseudonym not in subjects
