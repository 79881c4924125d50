"""Retention: what is too old goes, what is not stays, and students who left long ago are erased."""

import os
import subprocess
import sys
from collections.abc import Iterable
from datetime import timedelta
from pathlib import Path
from typing import Any
from uuid import UUID, uuid4

from bagatelle_service.database.tables import DaySheet, Invitation, PermitWindow, Token
from bagatelle_service.school.erasure_ledger import Ledger, read_ledger
from bagatelle_service.school.retention import Gone, keep_to_retention
from bagatelle_service.school.secrets import hash_of

from tests.integration.school import SchoolOfTest
from tests.integration.searching import found_in
from tests.integration.whole_student import (
    WholeStudent,
    entry,
    kept,
    log_entry,
    rows_of_tables,
    whole_student,
)

DAYS = 90


def keep_for(school: SchoolOfTest, days: int | None) -> None:
    body = {"name": "School", "retention_days": days}
    assert school.owner.put(f"/v1/schools/{school.id}", body, headers={"If-Match": "*"}).status_code == 200


def retain(school: SchoolOfTest, ledger: Ledger | None = None) -> Gone:
    clock, storage = school.service.clock, school.service.api.storage
    gone = school.service.api.run(keep_to_retention(storage, clock(), ledger or Ledger()))
    return next(each for each in gone if each.school_id == UUID(school.id))


def counts(gone: Gone) -> dict[str, Any]:
    return {name: getattr(gone, name) for name in gone.__struct_fields__ if name != "school_id"}


def add(school: SchoolOfTest, rows: Iterable[Any]) -> None:
    async def write() -> None:
        async with school.service.api.storage.write(UUID(school.id)) as session:
            for row in rows:
                if not isinstance(row, PermitWindow):
                    row.school_id = UUID(school.id)
                session.add(row)

    school.service.api.run(write())


def archive(school: SchoolOfTest, student: WholeStudent) -> None:
    body = {"display_name": student.name, "time_zone": "UTC", "key": student.key, "archived": True}
    assert school.owner.put(student.path, body, headers={"If-Match": "*"}).status_code == 200


def test_what_is_too_old_goes(school: SchoolOfTest) -> None:
    student = UUID(school.student()["id"])
    plan = whole_student(school).plan_id
    now = school.service.clock()
    ages = (DAYS + 1, DAYS, 0)
    add(school, [log_entry(student, (now - timedelta(days=age)).date(), now) for age in ages])
    add(
        school,
        [
            DaySheet(
                student_id=student,
                day=(now - timedelta(days=age)).date(),
                plan_id=plan,
                plan_revision=1,
                made_from="{}",
                body="{}",
                revision=1,
                created_at=now,
            )
            for age in ages
        ],
    )
    add(school, [entry(uuid4(), "teacher", "old", None, now - timedelta(days=age)) for age in ages])
    nothing = dict.fromkeys(counts(retain(school)), 0)
    assert counts(retain(school)) == nothing  # the school keeps all
    keep_for(school, DAYS)
    assert counts(retain(school)) == nothing | {"log_entries": 1, "day_sheets": 1, "trail_entries": 1}
    assert counts(retain(school)) == nothing
    rows = rows_of_tables(school)
    # One of each is the other student's.
    assert (len(rows["log_entry"]), len(rows["day_sheet"])) == (2 + 1, 2 + 1)
    assert [row["operation"] for row in rows["audit_entry"]].count("old") == 2


def test_each_school_keeps_to_its_own(school: SchoolOfTest) -> None:
    other = school.service.school("Another")
    for each in (school, other):
        student = UUID(each.student()["id"])
        now = each.service.clock()
        add(each, [log_entry(student, (now - timedelta(days=DAYS + 1)).date(), now)])
    keep_for(school, DAYS)
    assert retain(school).log_entries == 1
    assert len(rows_of_tables(other)["log_entry"]) == 1


def test_who_left_long_ago_is_erased(school: SchoolOfTest, any_database_url: str, tmp_path: Path) -> None:
    keep_for(school, DAYS)
    gone, left_lately, stays = (whole_student(school, mark) for mark in ("quince", "medlar", "damson"))
    archive(school, gone)
    school.service.clock.go_on(days=DAYS)
    archive(school, left_lately)
    assert retain(school).students == 0
    school.service.clock.go_on(minutes=1)
    ledger = Ledger(str(tmp_path / "ledger.ndjson"))
    assert retain(school, ledger).students == 1
    assert retain(school, ledger).students == 0
    assert found_in(any_database_url, gone.secrets()) == set()
    assert {row["id"] for row in rows_of_tables(school)["student"]} == {left_lately.id, stays.id}
    (line,) = read_ledger(Path(ledger.path))
    (shown,) = school.owner.get("/v1/erasures").json()["erasures"]
    assert shown["student_hash"] == line.student_hash
    by_operator = school.owner.get("/v1/trail?operation=erase_student").json()["entries"]
    assert [(each["actor_role"], each["subject"]) for each in by_operator] == [("operator", None)]


def test_what_opens_nothing_any_more_goes(school: SchoolOfTest) -> None:
    student = UUID(school.student()["id"])
    now = school.service.clock()
    old, lately, later = (now - timedelta(days=31), now - timedelta(days=29), now + timedelta(days=1))
    moments = [(old, None), (later, old), (lately, None), (later, lately), (later, None)]
    add(
        school,
        [
            Invitation(
                id=uuid4(),
                hash=hash_of(str(uuid4())),
                student_id=student,
                created_at=old,
                expires_at=expires,
                **{how: moment},
            )
            for how in ("revoked_at", "used_at")
            for expires, moment in moments
        ],
    )
    tokens = [(old, None), (None, old), (lately, None), (None, lately), (later, None), (None, None)]
    add(
        school,
        [
            Token(
                id=uuid4(),
                hash=hash_of(str(uuid4())),
                role="student",
                student_id=student,
                scopes="",
                pseudonym=uuid4(),
                created_at=old,
                expires_at=expires,
                revoked_at=revoked,
            )
            for expires, revoked in tokens
        ],
    )
    gone = retain(school)
    assert (gone.invitations, gone.tokens) == (4, 2)
    again = retain(school)
    assert (again.invitations, again.tokens) == (0, 0)
    rows = rows_of_tables(school)
    assert (len(rows["invitation"]), len(rows["token"])) == (6, 5)  # the owner's too


def test_what_was_kept_for_a_moment_goes(school: SchoolOfTest) -> None:
    now = school.service.clock()
    add(school, [kept("old", None, now - timedelta(hours=24), about_many=False)])
    add(school, [kept("new", None, now - timedelta(hours=23), about_many=False)])
    for minutes in (11, 9):
        add(
            school,
            [PermitWindow(token_id=uuid4(), minute=now - timedelta(minutes=minutes), granted=1)],
        )
    assert retain(school).kept_answers == 1
    minutes_left = {row["minute"] for row in rows_of_tables(school)["permit_window"]}
    assert min(minutes_left) == now - timedelta(minutes=9)


def test_the_command_prints_a_line_a_school(
    school: SchoolOfTest, any_database_url: str, tmp_path: Path
) -> None:
    keep_for(school, DAYS)
    student = school.student("Marigold")
    # Too old by the real clock too, which the command goes by.
    day = (school.service.clock() - timedelta(days=3650)).date()
    add(school, [log_entry(UUID(student["id"]), day, school.service.clock())])
    done = subprocess.run(
        [sys.executable, "-m", "bagatelle.command.main", "retention"],
        capture_output=True,
        text=True,
        check=False,
        env={
            **os.environ,
            "BAGATELLE_DATABASE_URL": any_database_url,
            "BAGATELLE_ERASURE_LEDGER": str(tmp_path / "ledger.ndjson"),
        },
    )
    assert (done.returncode, done.stderr) == (0, "")
    (line,) = done.stdout.splitlines()
    assert line.startswith(f"School {school.id}: 0 students erased; deleted 1 log entries, 0 day sheets, ")
    assert "Marigold" not in line
