"""How the database would find what it is asked for: what must not be read from end to end."""

import re
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from sqlalchemy import Connection, event

from tests.integration.school import Service

Asked = list[tuple[str, Any]]
"""Statements with their parameters."""
_WHOLE = re.compile(r"^SCAN (?!.*USING|\d|SUBQUERY|CONSTANT)|Seq Scan on", re.MULTILINE)


@contextmanager
def asked_of(service: Service) -> Iterator[Asked]:
    """Gather every statement that the service asks meanwhile."""
    engine = service.api.storage.engine.sync_engine
    asked: Asked = []

    def note(_connection: Any, _cursor: Any, statement: str, parameters: Any, *_rest: Any) -> None:
        asked.append((statement, parameters))

    event.listen(engine, "before_cursor_execute", note)
    try:
        yield asked
    finally:
        event.remove(engine, "before_cursor_execute", note)


def plans_of(service: Service, asked: Asked) -> list[tuple[str, str]]:
    """Let the database say how it would do each statement."""

    def plan(connection: Connection, statement: str, parameters: Any) -> str:
        is_sqlite = connection.dialect.name == "sqlite"
        if not is_sqlite:
            # Small tables are read from end to end whatever indexes they have.
            connection.exec_driver_sql("SET LOCAL enable_seqscan = off")
        how = "EXPLAIN QUERY PLAN" if is_sqlite else "EXPLAIN"
        rows = connection.exec_driver_sql(f"{how} {statement}", parameters).all()
        return "\n".join(str(row[-1]) for row in rows)

    async def plans() -> list[tuple[str, str]]:
        found = []
        async with service.api.storage.engine.connect() as connection:
            for statement, parameters in asked:
                if statement.startswith(("SELECT", "UPDATE", "DELETE")) and "set_config" not in statement:
                    found.append((statement, await connection.run_sync(plan, statement, parameters)))
        return found

    return service.api.run(plans())


def scanned(service: Service, asked: Asked) -> list[str]:
    """The statements, with their plans, that read a table from end to end."""
    return [f"{plan}\n{statement}" for statement, plan in plans_of(service, asked) if _WHOLE.search(plan)]
