"""The ledger of erasures: written before the erasure is done, and replayed over a restored backup."""

import hashlib
import json
import os
import subprocess
import sys
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from uuid import UUID

import pytest
from bagatelle_service.database.tables import Student
from bagatelle_service.school import erasure_ledger
from sqlalchemy import select

from tests.integration.backups import back_up
from tests.integration.problem_checks import problem_in
from tests.integration.school import SchoolOfTest, service_on
from tests.integration.searching import found_in
from tests.integration.whole_student import WholeStudent, rows_of_tables, whole_student

ANY = {"If-Match": "*"}


@pytest.fixture
def ledger(tmp_path: Path) -> Path:
    return tmp_path / "kept elsewhere" / "ledger.ndjson"


@pytest.fixture
def school(any_database_url: str, ledger: Path) -> Iterator[SchoolOfTest]:
    ledger.parent.mkdir()
    with service_on(any_database_url, erasure_ledger=str(ledger)) as service:
        yield service.school()


def erase(school: SchoolOfTest, student: WholeStudent) -> None:
    assert school.owner.delete(student.path, headers=ANY).status_code == 204


def hash_of_student(school: SchoolOfTest, student: WholeStudent) -> str:
    return hashlib.sha256(UUID(school.id).bytes + student.id.bytes).hexdigest()


def run(database_url: str, *arguments: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "bagatelle.command.main", *arguments],
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "BAGATELLE_DATABASE_URL": database_url},
    )


def test_each_erasure_is_a_line_of_a_hash(school: SchoolOfTest, ledger: Path) -> None:
    students = [whole_student(school), whole_student(school, "medlar")]
    for student in students:
        erase(school, student)
        school.service.clock.go_on(hours=1)
    lines = [json.loads(line) for line in ledger.read_text().splitlines()]
    assert [line["student_hash"] for line in lines] == [hash_of_student(school, each) for each in students]
    assert {line["school_id"] for line in lines} == {school.id}
    assert all(set(line) == {"school_id", "student_hash", "erased_at"} for line in lines)
    assert ledger.stat().st_mode & 0o777 == 0o600
    for needle in [needle for student in students for needle in student.secrets().values()]:
        assert needle not in ledger.read_bytes()
    shown = school.owner.get("/v1/erasures").json()["erasures"]
    assert [(each["student_hash"], each["erased_at"]) for each in shown] == [
        (line["student_hash"], line["erased_at"]) for line in lines
    ]


def test_pages_of_erasures_are_the_schools_own(school: SchoolOfTest) -> None:
    for number in range(3):
        erase(school, whole_student(school, f"mark{number}"))
    first = school.owner.get("/v1/erasures?limit=2").json()
    second = school.owner.get(f"/v1/erasures?limit=2&cursor={first['next']}").json()
    assert (len(first["erasures"]), len(second["erasures"]), second["next"]) == (2, 1, None)
    assert school.service.school("Another").owner.get("/v1/erasures").json()["erasures"] == []
    problem_in(whole_student(school).teacher.get("/v1/erasures"), "not-allowed")


def test_the_line_is_on_the_disk_before_the_commit(
    school: SchoolOfTest, ledger: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    student = whole_student(school)
    storage, synced = school.service.api.storage, []
    append, sync = erasure_ledger.Ledger.append, os.fsync
    there_when_written = []

    async def watched(of: erasure_ledger.Ledger, line: erasure_ledger.LedgerLine) -> None:
        await append(of, line)
        async with storage.read(UUID(school.id)) as session:
            ids = (await session.scalars(select(Student.id))).all()
        there_when_written.append((list(ids), lines()))

    def lines() -> int:
        return ledger.read_bytes().count(b"\n")

    def noted(file: int) -> None:
        synced.append(os.fstat(file).st_ino)
        sync(file)

    monkeypatch.setattr(erasure_ledger.Ledger, "append", watched)
    monkeypatch.setattr(os, "fsync", noted)
    erase(school, student)
    assert there_when_written == [([student.id], 1)]
    assert ledger.stat().st_ino in synced
    assert ledger.parent.stat().st_ino in synced


def test_without_its_line_nothing_is_erased(school: SchoolOfTest, ledger: Path) -> None:
    student = whole_student(school)
    before = rows_of_tables(school)
    ledger.mkdir()
    problem_in(school.owner.delete(student.path, headers=ANY), "internal")
    after = rows_of_tables(school)
    assert {name for name in before if after[name] != before[name]} <= {"token", "permit_window"}
    ledger.rmdir()
    erase(school, student)


def test_a_restored_backup_is_rid_of_them(
    school: SchoolOfTest, ledger: Path, any_database_url: str, tmp_path: Path
) -> None:
    stays, student = whole_student(school, "medlar"), whole_student(school)
    needles = student.secrets()
    bring_back = back_up(any_database_url, tmp_path)
    erase(school, student)
    assert found_in(any_database_url, needles) == set()
    school.service.api.run(school.service.api.storage.engine.dispose())
    bring_back()
    assert {"name", "key", *student.wording} <= found_in(any_database_url, needles)
    done = run(any_database_url, "erasures", "replay", str(ledger))
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout == "1 lines read, 1 students erased again, 0 schools unknown here.\n"
    assert found_in(any_database_url, needles) == set()
    assert found_in(any_database_url, stays.secrets()) >= {"name", "key", *stays.wording}
    again = run(any_database_url, "erasures", "replay", str(ledger))
    assert again.stdout == "1 lines read, 0 students erased again, 0 schools unknown here.\n"
    # The table has the line again, as it was; and it serves as a ledger too.
    listed = run(any_database_url, "erasures", "list")
    assert listed.stdout == ledger.read_text()
    problem_in(school.owner.get(student.path), "unknown-id")


def test_what_is_wrong_with_a_ledger_is_said(
    any_database_url: str, school: SchoolOfTest, tmp_path: Path
) -> None:
    wrong = tmp_path / "wrong.ndjson"
    line = {"school_id": school.id, "student_hash": "00" * 32, "erased_at": "2027-03-01T08:00:00Z"}
    other = {**line, "school_id": "5b0c6a9e-2f0d-4c0e-9a43-7d1f0f6c2b11"}
    wrong.write_text(f"{json.dumps(line)}\n{json.dumps({**line, 'name': 'Ilse'})}\n")
    done = run(any_database_url, "erasures", "replay", str(wrong))
    assert done.returncode == 1
    assert "line 2" in done.stderr
    assert run(any_database_url, "erasures", "replay", str(tmp_path / "absent")).returncode == 1
    wrong.write_text(json.dumps(other) + "\n")
    assert "1 schools unknown" in run(any_database_url, "erasures", "replay", str(wrong)).stdout


def test_a_database_that_is_not_there_is_not_made(tmp_path: Path) -> None:
    absent = tmp_path / "absent.sqlite3"
    for arguments in (("erasures", "list"), ("retention",)):
        done = run(f"sqlite:///{absent}", *arguments)
        assert done.returncode == 1
        assert "There is no database" in done.stderr
    assert not absent.exists()


def test_moments_have_their_offset(school: SchoolOfTest, ledger: Path) -> None:
    erase(school, whole_student(school))
    moment = datetime.fromisoformat(json.loads(ledger.read_text())["erased_at"])
    assert moment == school.service.clock()
