"""Day sheets read and made, against one row read by its key on the same server in the same run."""

import os
import signal
import socket
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from time import monotonic, sleep
from typing import Final

import msgspec

from tests.bench.day_school import ENTRIES, DaySchool
from tests.bench.load import Load
from tests.bench.row_server import ROW_PATH
from tests.bench.tables import milliseconds, percentile, table
from tests.bench.token_load import SHOWN_BY, TokenRequest
from tests.integration.databases import POSTGRESQL_VARIABLE, database_of_kind

ROOT: Final = Path(__file__).parents[2]
STUDENTS: Final = 40
ROUNDS: Final = 3
CONNECTIONS: Final = 4
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
    loads: dict[str, list[Load]] = {}
    with TemporaryDirectory() as folder, database_of_kind(kind, Path(folder)) as url:
        school = DaySchool(url, STUDENTS)
        with _server(url, Path(folder)) as port:
            _load(port, school, _requests(school, ROW, 0)[:100])
            for number in range(1, ROUNDS + 1):
                for name in (ROW, SHOWN, MADE, READ, GROWN, AGAIN):
                    loads.setdefault(name, []).append(_load(port, school, _requests(school, name, number)))
    return _report(kind, loads)


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


@contextmanager
def _server(url: str, folder: Path) -> Iterator[int]:
    """Start the service on a free port of loopback; stop it at the end. Gives its port."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port: int = free.getsockname()[1]
    environment = os.environ | {"BAGATELLE_DATABASE_URL": url, "BAGATELLE_REQUESTS_A_MINUTE": "1000000"}
    log = folder / "log"
    with log.open("wb") as sink:
        process = subprocess.Popen(
            [sys.executable, "-m", "tests.bench.row_server", str(port)],
            cwd=ROOT,
            env=environment,
            stdout=sink,
            stderr=sink,
        )
        try:
            _wait_for(port, process, log)
            yield port
        finally:
            process.send_signal(signal.SIGINT)
            process.wait(timeout=30)


def _wait_for(port: int, process: subprocess.Popen[bytes], log: Path) -> None:
    end = monotonic() + 30
    while monotonic() < end and process.poll() is None:
        try:
            socket.create_connection(("127.0.0.1", port), timeout=1).close()
        except OSError:
            sleep(0.1)
        else:
            return
    raise RuntimeError(f"The server did not start:\n{log.read_text()[-2000:]}")


def _load(port: int, school: DaySchool, requests: list[TokenRequest]) -> Load:
    done = subprocess.run(
        [sys.executable, "-m", "tests.bench.token_load", str(port), str(CONNECTIONS)],
        cwd=ROOT,
        env=os.environ | {SHOWN_BY: school.secret},
        input=b"\n".join(map(msgspec.json.encode, requests)),
        stdout=subprocess.PIPE,
        check=True,
        timeout=200,
    )
    return msgspec.json.decode(done.stdout, type=Load)


def _report(kind: str, loads: dict[str, list[Load]]) -> str:
    rates = {name: [_rate(load) for load in of_name] for name, of_name in loads.items()}
    rows = [
        [
            name,
            f"{median(one / row for one, row in zip(rates[name], rates[ROW], strict=True)):.2f}",
            f"{median(rates[name]):.0f}",
            milliseconds(median(percentile(load.request_seconds, 99) for load in of_name)),
            f"{median(load.answer_bytes / len(load.request_seconds) for load in of_name):.0f}",
        ]
        for name, of_name in loads.items()
    ]
    explanation = (
        f"{STUDENTS} students with prepared plans and {ENTRIES} log entries each; one worker, {CONNECTIONS} "
        f"connections kept alive, load from another process, {ROUNDS} rounds interleaved, medians. All requests "
        "show a token."
    )
    head = ["", "as a share of the row's", "requests/s", "99 % within", "bytes"]
    return "\n".join([f"## Day sheets, {kind}", "", explanation, "", table(head, rows)])


def _rate(load: Load) -> float:
    return len(load.request_seconds) / load.whole_seconds
