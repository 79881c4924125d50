"""What progress and a glance read, they find by an index: nothing is looked through that is another student's."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import event

from tests.integration.databases import sqlite_url
from tests.integration.practised import INSTRUMENTS, Practised, days_ago
from tests.integration.school import Service, service_on

Asked = tuple[str, Any]


@contextmanager
def asked_of(service: Service) -> Iterator[list[Asked]]:
    """Gather every query with its parameters."""
    engine, asked = service.api.storage.engine.sync_engine, list[Asked]()

    def note(_connection: Any, _cursor: Any, statement: str, parameters: Any, *_: Any) -> None:
        if statement.startswith("SELECT"):
            asked.append((statement, parameters))

    event.listen(engine, "before_cursor_execute", note)
    try:
        yield asked
    finally:
        event.remove(engine, "before_cursor_execute", note)


def plans_of(service: Service, asked: list[Asked]) -> dict[str, list[str]]:
    """How SQLite would find the rows of each query."""

    async def explain() -> dict[str, list[str]]:
        async with service.api.storage.engine.connect() as connection:
            return {
                statement: [
                    str(line[-1])
                    for line in await connection.exec_driver_sql(
                        f"EXPLAIN QUERY PLAN {statement}", parameters
                    )
                ]
                for statement, parameters in asked
            }

    return service.api.run(explain())


def test_nothing_is_scanned(tmp_path: Path) -> None:
    """PostgreSQL's planner goes by what a table holds, so it says nothing of a small one."""
    with service_on(sqlite_url(tmp_path), instruments=INSTRUMENTS) as service:
        student = Practised(service.school())
        student.prepare()
        student.log(days_ago(2), "scales")
        teacher_id, teacher = student.school.teacher()
        group = student.school.group([teacher_id], [student.student])["id"]
        teacher.get("/v1/caller")
        with asked_of(service) as asked:
            assert teacher.get(f"{student.path}/progress").status_code == 200
            assert teacher.get(f"/v1/groups/{group}/glance").status_code == 200
        plans = plans_of(service, asked)
        logs = [plan for statement, plan in plans.items() if "FROM log_entry" in statement]
        assert len(logs) == 3
        scans = {statement: plan for statement, plan in plans.items() if any("SCAN" in line for line in plan)}
        assert scans == {}
        # The logs of one student, by their days.
        assert all(any("student_id=?" in line for line in plan) for plan in logs)
