"""No log line holds what is personal or secret: the scan finds what is there, and errors put nothing there."""

import json
import logging
import re
from datetime import UTC, datetime
from pathlib import Path
from typing import Any
from uuid import UUID, uuid4

import pytest
from bagatelle_service.database.errors import ClashError, StorageError
from bagatelle_service.database.tables import Guardian, Student
from bagatelle_service.logs import JsonFormatter
from bagatelle_service.school import students
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy import select, text

from tests.integration.databases import sqlite_url
from tests.integration.log_scan import LOGGERS, SHORTEST, LogScan, scanning
from tests.integration.problem_checks import problem_in
from tests.integration.school import SchoolOfTest, note_for_scan
from tests.integration.served_school import school_on
from tests.integration.serving import served

NAME = "Wilhelmine Ohnesorg"
WITHOUT_ZONE = datetime(2027, 3, 1, tzinfo=UTC).replace(tzinfo=None)


@pytest.mark.parametrize("logger", [*LOGGERS, "bagatelle_service.requests", "sqlalchemy.engine.Engine"])
def test_a_bad_line_of_any_logger_is_found(logger: str) -> None:
    with scanning() as scan:
        scan.register(NAME)
        logging.getLogger(logger).warning("made %s", NAME)
        assert scan.found() == [f"{NAME!r} in 'WARNING {logger}: made {NAME}'"]


def test_a_bad_line_in_a_trace_is_found() -> None:
    with scanning() as scan:
        scan.register(NAME)
        logging.getLogger("bagatelle_service.problems").error("failed", exc_info=ValueError(NAME))
        assert len(scan.found()) == 1


def test_a_bad_line_of_a_handler_is_found(school: SchoolOfTest, monkeypatch: pytest.MonkeyPatch) -> None:
    def log_and_show(student: Student) -> students.StudentAnswer:
        logging.getLogger("bagatelle_service.school").info(
            "showing %s of %s", student.display_name, student.id
        )
        return real(student)

    real = students.student_answer
    monkeypatch.setattr(students, "student_answer", log_and_show)
    with scanning() as scan:
        made = school.student(NAME, key="bassoon-3")
    assert {NAME, "bassoon-3", made["id"], school.owner.secret} <= scan.markers | {school.owner.secret}
    assert {line.split(" in ")[0] for line in scan.found()} == {repr(NAME), repr(made["id"])}


def test_a_bad_line_in_a_file_is_found(tmp_path: Path) -> None:
    scan = LogScan()
    scan.register(NAME)
    scan.files.add(tmp_path / "serve.log")
    (tmp_path / "serve.log").write_text(JsonFormatter().format(a_record(f"made {NAME}")) + "\n")
    assert len(scan.found()) == 1


def a_record(message: str) -> logging.LogRecord:
    return logging.LogRecord("bagatelle_service.x", logging.INFO, "", 0, message, (), None)


def test_words_that_hold_a_marker_are_no_finding() -> None:
    scan = LogScan()
    scan.register("Ilse", "a")
    scan.texts = ["GET /v1/students/{Ilsebill} a"]
    assert scan.found() == []


def a_student(school: SchoolOfTest, **fields: Any) -> Student:
    values = {
        "school_id": UUID(school.id),
        "id": uuid4(),
        "key": "bassoon-3",
        "display_name": NAME,
        "time_zone": "UTC",
        "pseudonym": uuid4(),
        "revision": 1,
        "created_at": school.service.clock(),
    }
    return Student(**{**values, **fields})


class TestDatabaseErrors:
    """What a database says of an error repeats values; what we say of it does not."""

    def provoke(self, school: SchoolOfTest, scan: LogScan, *rows: Any) -> StorageError:
        scan.register(NAME, "bassoon-3", *(row.id for row in rows))

        async def write() -> None:
            async with school.service.api.storage.write(UUID(school.id)) as session:
                for row in rows:
                    session.add(row)
                    await session.flush()

        with pytest.raises(StorageError) as caught:
            school.service.api.run(write())
        logging.getLogger("bagatelle_service.problems").error("provoked", exc_info=caught.value)
        assert "provoked" in scan.texts[-1]
        assert "Traceback" in scan.texts[-1]
        assert NAME not in str(caught.value)
        return caught.value

    def test_unique(self, school: SchoolOfTest, nothing_personal_in_logs: LogScan) -> None:
        error = self.provoke(school, nothing_personal_in_logs, a_student(school), a_student(school))
        assert isinstance(error, ClashError)

    def test_foreign_key(self, school: SchoolOfTest, nothing_personal_in_logs: LogScan) -> None:
        guardian = Guardian(
            school_id=UUID(school.id),
            id=uuid4(),
            student_id=uuid4(),
            display_name=NAME,
            pseudonym=uuid4(),
            created_at=school.service.clock(),
        )
        nothing_personal_in_logs.register(guardian.student_id)
        assert isinstance(self.provoke(school, nothing_personal_in_logs, guardian), ClashError)

    @pytest.mark.parametrize(
        "fields",
        [{"revision": NAME}, {"display_name": [NAME]}, {"created_at": WITHOUT_ZONE}, {"id": NAME}],
        ids=str,
    )
    def test_wrong_types(
        self,
        school: SchoolOfTest,
        nothing_personal_in_logs: LogScan,
        fields: dict[str, Any],
        any_database_url: str,
    ) -> None:
        if "revision" in fields and any_database_url.startswith("sqlite"):
            fields = {"revision": None, "key": NAME}  # SQLite stores any type in any column
        self.provoke(school, nothing_personal_in_logs, a_student(school, **fields))

    def test_a_fault_in_a_handler_that_is_answered_500(
        self, school: SchoolOfTest, nothing_personal_in_logs: LogScan, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        async def broken(work: Any, key: str | None) -> None:
            statement = select(Student).where(text("no_such_column = :name")).params(name=key)
            await work.session.execute(statement)

        monkeypatch.setattr(students, "_refuse_taken_key", broken)
        body = {"display_name": NAME, "time_zone": "UTC", "key": "bassoon-3"}
        problem_in(school.owner.post("/v1/students", body), "internal")
        assert any("failed" in line for line in nothing_personal_in_logs.texts)


def test_statements_are_logged_without_what_they_carry(
    school: SchoolOfTest, nothing_personal_in_logs: LogScan
) -> None:
    """Somebody who sets SQLAlchemy's own logger to INFO sees statements, and no values."""
    logger = logging.getLogger("sqlalchemy.engine")
    logger.setLevel(logging.INFO)
    try:
        other = school.service.school("Another")
        other.owner.get("/v1/students?key=bassoon-3")
        made = other.student(NAME, key="bassoon-3")
        other.owner.put(f"/v1/students/{made['id']}", {"display_name": NAME, "time_zone": "UTC"}, revision=1)
    finally:
        logger.setLevel(logging.NOTSET)
    assert nothing_personal_in_logs.texts


@pytest.mark.parametrize("log_format", ["plain", "json"])
def test_what_a_served_process_logs(
    tmp_path: Path, log_format: str, nothing_personal_in_logs: LogScan
) -> None:
    school = school_on(sqlite_url(tmp_path))
    body = {"display_name": NAME, "time_zone": "UTC", "key": "bassoon-3"}
    with served(tmp_path, **school.settings(BAGATELLE_LOG_FORMAT=log_format)) as client:
        for headers in ({"Idempotency-Key": "bassoon-first"}, {}, {"Authorization": "Bearer of-nobody"}):
            sent = {**school.headers, **headers}
            response = client.post("/v1/students", json=body, headers=sent)
            note_for_scan(body, sent, response)
            nothing_personal_in_logs.register("of-nobody")
        made = client.get("/v1/students?key=bassoon-3", headers=school.headers).json()["students"][0]
        assert client.get(f"/v1/students/{made['id']}", headers=school.headers).status_code == 200
    assert {NAME, made["id"], school.secret, "bassoon-first"} <= nothing_personal_in_logs.markers
    # Docs line aside: the service's own line for each request, and none of the server's.
    lines = (tmp_path / "serve.log").read_text().splitlines()[1:]
    messages = [json.loads(line)["message"] for line in lines] if log_format == "json" else lines
    requests = [message for message in messages if "/v1/students" in message]
    assert len(requests) == 5, requests
    assert [line for line in messages if '"POST' in line or "HTTP/1.1" in line] == []


@given(
    st.lists(st.text("ab- é.", min_size=SHORTEST, max_size=6), max_size=6),
    st.lists(st.text("ab- é.\n", max_size=30), max_size=4),
)
def test_a_marker_is_found_where_no_letter_stands_beside_it(markers: list[str], texts: list[str]) -> None:
    """As one would look for each by itself, line by line."""
    scan = LogScan()
    scan.register(*markers)
    scan.texts = texts
    lines = "\n".join(texts).splitlines()
    assert scan.found() == [
        f"{marker!r} in {line!r}"
        for marker in sorted(set(markers))
        for line in lines
        if re.search(rf"(?<![\w-]){re.escape(marker)}(?![\w-])", line)
    ]
