"""Day sheets read and made, against one row read by its key on the same server in the same run."""

import os
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from typing import Final

from tests.bench.day_school import ENTRIES, DaySchool
from tests.bench.endpoint import Round
from tests.bench.processor_time import spent_seconds
from tests.bench.row_load import CONNECTIONS, loaded, row_server
from tests.bench.row_server import ROW_PATH
from tests.bench.tables import milliseconds, table
from tests.bench.token_load import TokenRequest
from tests.integration.databases import POSTGRESQL_VARIABLE, database_of_kind

STUDENTS: Final = 40
ROUNDS: Final = 3
ROW: Final = "one row by its key"
READ: Final = "a stored sheet"
SHOWN: Final = "a sheet that is not stored"
MADE: Final = "a sheet made"
GROWN: Final = "a sheet grown"
AGAIN: Final = "the same sent again"


def run() -> str:
    """Measure on each kind of database that there is, and write the report."""
    kinds = ["sqlite", *(["postgresql"] if POSTGRESQL_VARIABLE in os.environ else [])]
    return "\n\n".join(_measured(kind) for kind in kinds)


def _measured(kind: str) -> str:
    rounds: dict[str, list[Round]] = {}
    with TemporaryDirectory() as folder, database_of_kind(kind, Path(folder)) as url:
        school = DaySchool(url, STUDENTS)
        with row_server(url, Path(folder)) as (port, process_id):
            loaded(port, school.secret, _requests(school, ROW, 0)[:100])
            for number in range(1, ROUNDS + 1):
                for name in (ROW, SHOWN, MADE, READ, GROWN, AGAIN):
                    requests = _requests(school, name, number)
                    before = spent_seconds(process_id)
                    load = loaded(port, school.secret, requests)
                    rounds.setdefault(name, []).append(Round(load, spent_seconds(process_id) - before))
    return _report(kind, rounds)


def _requests(school: DaySchool, name: str, number: int) -> list[TokenRequest]:
    """Those of one round: each has dates of its own, so that what is made is made for the first time."""
    days = [_today() - timedelta(days=7 * number + offset) for offset in range(3)]
    if name == ROW:
        return [TokenRequest("GET", f"{ROW_PATH}/{student}") for student in school.students] * 6
    paths = [f"/v1/students/{student}/days/{day}" for day in days for student in school.students]
    if name in (READ, SHOWN):
        return [TokenRequest("GET", path) for path in paths]
    minutes = 10 if name == MADE else 16
    return [TokenRequest("PUT", path, f'{{"minutes":{minutes}}}') for path in paths]


def _today() -> date:
    return datetime.now(UTC).date()


def _report(kind: str, rounds: dict[str, list[Round]]) -> str:
    of_row = rounds[ROW]
    rows = [
        [
            name,
            _ratio([each.rate for each in every], [each.rate for each in of_row]),
            _ratio(
                [each.processor_seconds_each for each in of_row],
                [each.processor_seconds_each for each in every],
            ),
            f"{median(each.rate for each in every):.0f}",
            milliseconds(median(each.processor_seconds_each for each in every)),
            f"{median(each.load.answer_bytes / len(each.load.request_seconds) for each in every):.0f}",
        ]
        for name, every in rounds.items()
    ]
    explanation = (
        f"{STUDENTS} students with prepared plans and {ENTRIES} log entries each; one worker, {CONNECTIONS} "
        f"connections kept alive, load from another process, {ROUNDS} rounds interleaved, medians. All requests "
        "show a token. The second share holds on a busy machine too."
    )
    head = [
        "",
        "requests/s as a share of the row's",
        "requests a processor second likewise",
        "requests/s",
        "processor time each",
        "bytes",
    ]
    return "\n".join([f"## Day sheets, {kind}", "", explanation, "", table(head, rows)])


def _ratio(above: list[float], below: list[float]) -> str:
    return f"{median(one / other for one, other in zip(above, below, strict=True)):.2f}"
