"""Whether sheets and logs are written as fast with many students as with few: `python -m tests.bench.scale`.

Apart from `make bench`, as it fills a database for up to ten minutes.
"""

import asyncio
import os
import sqlite3
import sys
from contextlib import AbstractContextManager, ExitStack
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from typing import Any, Final
from uuid import uuid4

import msgspec

from tests.bench.bench_server import Running, running
from tests.bench.day_school import DaySchool
from tests.bench.many_students import Filled, fill
from tests.bench.tables import milliseconds, percentile, table
from tests.bench.token_load import TokenRequest, measure

FEW: Final = 1_000
MANY: Final = 100_000
MOST_SECONDS: Final = 480
"""For making the rows; indexes come on top."""
ROUNDS: Final = 12
A_ROUND: Final = 60
SHEET, LOG, BATCH = "a sheet made", "an entry logged", "a batch of 20 logged"
MINUTES: Final = 10


def main(many: int) -> None:
    """Fill two databases, and measure on both by turns."""
    today = datetime.now(UTC).date()
    with TemporaryDirectory(dir=os.environ.get("BAGATELLE_BENCH_FOLDER")) as folder:
        schools = {count: _school(Path(folder) / str(count), count, today) for count in (FEW, many)}
        for filled, _ in schools.values():
            print(
                f"{filled.number:,} students with {filled.entries:,} log entries, {filled.bytes / 1e9:.1f} GB, "
                f"made in {filled.seconds:.0f} s",
                flush=True,
            )
        print(_compared(schools, Path(folder), today))


def _school(folder: Path, count: int, today: date) -> tuple[Filled, str]:
    folder.mkdir()
    file = folder / "school.sqlite3"
    school = DaySchool(f"sqlite:///{file}", 1)
    return fill(file, count, today, _units(file), MOST_SECONDS), school.secret


def _units(file: Path) -> dict[str, tuple[str, ...]]:
    """The units of each task, as the student's own entries name them."""
    connection = sqlite3.connect(file)
    rows = connection.execute(
        "SELECT task.key, log_entry.units FROM log_entry JOIN task ON task.id = log_entry.task_id"
    )
    found: dict[str, tuple[str, ...]] = {key: tuple(msgspec.json.decode(units)) for key, units in rows}
    connection.close()
    return found


def _compared(schools: dict[int, tuple[Filled, str]], folder: Path, today: date) -> str:
    times: dict[tuple[str, int], list[float]] = {}
    with ExitStack() as stack:
        ports = {count: stack.enter_context(_server(folder / str(count))).port for count in schools}
        for number in range(ROUNDS):
            for name in (SHEET, LOG, BATCH):
                for count, (filled, secret) in schools.items():
                    requests = _requests(name, filled, number, today)
                    load = asyncio.run(measure(ports[count], 1, requests, secret))
                    # The first round opens files and fills caches.
                    if number:
                        times.setdefault((name, count), []).extend(load.request_seconds)
    rows = []
    few, many = schools
    for name in (SHEET, LOG, BATCH):
        ratio = median(times[name, many]) / median(times[name, few])
        cells = [milliseconds(median(times[name, count])) for count in schools]
        slow = [milliseconds(percentile(times[name, count], 99)) for count in schools]
        rows.append([name, f"{ratio:.2f}", *cells, *slow])
    head = ["", "ratio of medians"]
    head += [f"median of {schools[count][0].number:,}" for count in schools]
    head += [f"99 % of {schools[count][0].number:,} within" for count in schools]
    return table(head, rows)


def _server(folder: Path) -> AbstractContextManager[Running]:
    return running(
        "tests.bench.server",
        folder,
        BAGATELLE_DATABASE_URL=f"sqlite:///{folder / 'school.sqlite3'}",
        BAGATELLE_REQUESTS_A_MINUTE="1000000",
        BAGATELLE_ENGINE_PROCESSES="0",
    )


def _requests(name: str, filled: Filled, number: int, today: date) -> list[TokenRequest]:
    """Those of one round, each for a day that has nothing of the kind yet."""
    draw = [filled.students[(number * A_ROUND + place) % len(filled.students)] for place in range(A_ROUND)]
    round_of = (number * A_ROUND) // len(filled.students)
    day = (today - timedelta(days=round_of)).isoformat()
    if name == SHEET:
        return [
            TokenRequest("PUT", f"/v1/students/{student}/days/{day}", f'{{"minutes":{MINUTES}}}')
            for student in draw
        ]
    if name == LOG:
        return [
            TokenRequest("PUT", f"/v1/students/{student}/logs/{uuid4()}", _text(_entry(day)))
            for student in draw
        ]
    return [
        TokenRequest(
            "POST",
            f"/v1/students/{student}/logs",
            _text({"entries": [{"id": str(uuid4()), **_entry(day)} for _ in range(20)]}),
        )
        for student in draw
    ]


def _entry(day: str) -> dict[str, Any]:
    return {"day": day, "kind": "free", "seconds": 300}


def _text(value: Any) -> str:
    return msgspec.json.encode(value).decode()


if __name__ == "__main__":
    main(int(sys.argv[1]) if sys.argv[1:] else MANY)
