"""What logs ask of the database: nothing is read from end to end, and many entries take as few questions as two."""

import re
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any
from uuid import uuid4

from bagatelle_service.school.pages import cursor_of
from sqlalchemy import Connection, event

from tests.integration.hand_made_sheet import LOADED, SCALES_STEP
from tests.integration.school import service_on
from tests.integration.test_log_things import TODAY, Practising

Asked = list[tuple[str, Any]]
# A temporary table of the statement itself, or one of a single row.
SMALL = {"installation"}


@contextmanager
def noted(practising: Practising) -> Iterator[Asked]:
    """Note the statements that are asked meanwhile, with their parameters."""
    engine = practising.school.service.api.storage.engine.sync_engine
    asked: Asked = []

    def note(_connection: Any, _cursor: Any, statement: str, parameters: Any, *_rest: Any) -> None:
        asked.append((statement, parameters))

    event.listen(engine, "before_cursor_execute", note)
    try:
        yield asked
    finally:
        event.remove(engine, "before_cursor_execute", note)


def entries(practising: Practising, count: int) -> dict[str, Any]:
    """Entries of each kind of thing."""
    things: tuple[dict[str, Any], ...] = (
        {"step": SCALES_STEP},
        {"task": practising.tasks["scales"], "units": ["C"]},
        {},
    )
    common = {"day": TODAY.isoformat(), "kind": "short", "seconds": 60}
    return {
        "entries": [{**common, **things[place % 3], "id": str(uuid4())} for place in range(count)],
    }


def scanned(practising: Practising, asked: Asked) -> list[str]:
    """Let the database say how it would do each statement, and list those that read a table from end to end."""

    def plan(connection: Connection, statement: str, parameters: Any) -> str:
        is_sqlite = connection.dialect.name == "sqlite"
        if not is_sqlite:
            # Small tables are read from end to end whatever indexes they have.
            connection.exec_driver_sql("SET LOCAL enable_seqscan = off")
        how = "EXPLAIN QUERY PLAN" if is_sqlite else "EXPLAIN"
        rows = connection.exec_driver_sql(f"{how} {statement}", parameters).all()
        return "\n".join(str(row[-1]) for row in rows)

    async def plans() -> list[str]:
        found = []
        async with practising.school.service.api.storage.engine.connect() as connection:
            for statement, parameters in asked:
                if statement.startswith(("SELECT", "UPDATE", "DELETE")) and "set_config" not in statement:
                    found.append(await connection.run_sync(plan, statement, parameters) + "\n" + statement)
        return found

    whole = re.compile(r"^SCAN (?!.*USING|\d|SUBQUERY|CONSTANT)|Seq Scan on", re.MULTILINE)
    return [text for text in practising.school.service.api.run(plans()) if whole.search(text)]


def test_no_table_is_read_from_end_to_end(any_database_url: str) -> None:
    with service_on(any_database_url, instruments=LOADED) as service:
        practising = Practising(service.school())
        logs = f"/v1/students/{practising.student}/logs"
        made = practising.log()
        student = practising.school.let_in(student=practising.student)
        student.get(logs)
        cursor = cursor_of(service.clock(), uuid4())
        with noted(practising) as asked:
            for query in (
                "",
                "?from=2027-01-01",
                "?to=2027-03-01",
                f"?task={practising.tasks['jam']}",
                "?kind=free",
                f"?cursor={cursor}&from=2027-01-01&to=2027-03-01&kind=short",
            ):
                assert student.get(logs + query).status_code == 200
            assert student.post(logs, entries(practising, 6)).status_code == 201
            assert practising.put(f"{logs}/{made['id']}", seconds=5).status_code == 428
            assert student.get(f"{logs}/{made['id']}").status_code == 200
            assert student.delete(f"{logs}/{made['id']}", headers={"If-Match": "*"}).status_code == 204
        assert len(asked) > 40
        assert scanned(practising, asked) == []


def test_a_thousand_entries_take_as_few_statements_as_six(any_database_url: str) -> None:
    with service_on(any_database_url, instruments=LOADED) as service:
        practising = Practising(service.school())
        logs = f"/v1/students/{practising.student}/logs"
        counts = []
        practising.school.owner.make(logs, entries(practising, 3))
        for count in (6, 999):
            with noted(practising) as asked:
                practising.school.owner.make(logs, entries(practising, count))
            counts.append(len(asked))
        assert counts[0] == counts[1] < 30
