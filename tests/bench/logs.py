"""Logs written and read, one by one and a thousand at once, against one row read by its key in the same run."""

import os
from datetime import UTC, datetime
from itertools import cycle, islice
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from typing import Any, Final
from uuid import uuid4

import msgspec

from tests.bench.day_school import ENTRIES, DaySchool
from tests.bench.load import Load
from tests.bench.row_load import CONNECTIONS, loaded, rate, row_server
from tests.bench.row_server import ROW_PATH
from tests.bench.tables import milliseconds, percentile, table
from tests.bench.token_load import TokenRequest
from tests.integration.databases import POSTGRESQL_VARIABLE, database_of_kind
from tests.integration.prepared_school import INSTRUMENTS
from tests.integration.school import As, service_on

STUDENTS: Final = 8
ROUNDS: Final = 3
ROW: Final = "one row by its key"
FREE: Final = "an entry of free playing"
STEP: Final = "an entry by a step of the day's sheet"
TASK: Final = "an entry by a task, with its units"
AGAIN: Final = "the same entry sent again"
PAGE: Final = "a page of 50 read"
BATCH: Final = "a batch of 1,000"
KNOWN: Final = "the same batch sent again"
COUNTS: Final = {ROW: 300, FREE: 100, STEP: 100, TASK: 100, AGAIN: 100, PAGE: 100, BATCH: 8, KNOWN: 8}
"""Requests in each round."""
_BATCH: Final = 1000


class Things(msgspec.Struct, frozen=True):
    """What of a student may be logged."""

    student: str
    steps: tuple[str, ...]
    tasks: tuple[dict[str, Any], ...]
    """Tasks, each with all its units."""


def run() -> str:
    """Measure on each kind of database that there is, and write the report."""
    kinds = ["sqlite", *(["postgresql"] if POSTGRESQL_VARIABLE in os.environ else [])]
    return "\n\n".join(_measured(kind) for kind in kinds)


def _measured(kind: str) -> str:
    loads: dict[str, list[Load]] = {}
    with TemporaryDirectory() as folder, database_of_kind(kind, Path(folder)) as url:
        school = DaySchool(url, STUDENTS)
        things = _things_of(url, school)
        with row_server(url, Path(folder)) as (port, _):
            for _ in range(1 + ROUNDS):
                requests = _requests(things)
                for name in COUNTS:
                    loads.setdefault(name, []).append(loaded(port, school.secret, requests[name]))
    # The first round warms up.
    return _report(kind, {name: of_name[1:] for name, of_name in loads.items()})


def _things_of(url: str, school: DaySchool) -> list[Things]:
    """Make a sheet of today for each student, and find what may be logged."""
    found = []
    with service_on(url, instruments=INSTRUMENTS, requests_a_minute=1_000_000) as service:
        service.clock.time = datetime.now(UTC)
        owner = As(service.api, school.secret)
        for student in school.students:
            path = f"/v1/students/{student}"
            sheet = owner.put(f"{path}/days/{service.clock().date()}", {"minutes": 20}).json()["sheet"]
            (routine,) = owner.get(f"{path}/routines").json()["routines"]
            tasks = {
                task["key"]: task["id"] for task in owner.get(f"/v1/routines/{routine['id']}").json()["tasks"]
            }
            played = [step for step in sheet["steps"] if step["kind"] == "task" and step["task"] in tasks]
            found.append(
                Things(
                    student,
                    tuple(step["id"] for step in played),
                    tuple(
                        {"task": tasks[step["task"]], "units": [unit["unit"] for unit in step["units"]]}
                        for step in played
                    ),
                )
            )
    return found


def _requests(things: list[Things]) -> dict[str, list[TokenRequest]]:
    """Those of one round: each entry has an id of its own."""
    free = [_put(each, {}) for each in islice(cycle(things), COUNTS[FREE])]
    batches = [_batch(each) for each in islice(cycle(things), COUNTS[BATCH])]
    return {
        ROW: [
            TokenRequest("GET", f"{ROW_PATH}/{each.student}") for each in islice(cycle(things), COUNTS[ROW])
        ],
        FREE: free,
        STEP: [_put(each, {"step": each.steps[0]}) for each in islice(cycle(things), COUNTS[STEP])],
        TASK: [_put(each, each.tasks[0]) for each in islice(cycle(things), COUNTS[TASK])],
        AGAIN: free,
        PAGE: [
            TokenRequest("GET", f"/v1/students/{each.student}/logs?limit=50")
            for each in islice(cycle(things), COUNTS[PAGE])
        ],
        BATCH: batches,
        KNOWN: batches,
    }


def _entry(thing: dict[str, Any]) -> dict[str, Any]:
    return {"day": str(datetime.now(UTC).date()), "kind": "short", "seconds": 120, **thing}


def _put(things: Things, thing: dict[str, Any]) -> TokenRequest:
    body = msgspec.json.encode(_entry(thing)).decode()
    return TokenRequest("PUT", f"/v1/students/{things.student}/logs/{uuid4()}", body)


def _batch(things: Things) -> TokenRequest:
    """A third by step, a third by task with its units, a third free."""
    kinds = cycle([*({"step": step} for step in things.steps), *things.tasks, *({} for _ in things.steps)])
    entries = [{**_entry(thing), "id": str(uuid4())} for thing in islice(kinds, _BATCH)]
    body = msgspec.json.encode({"entries": entries}).decode()
    return TokenRequest("POST", f"/v1/students/{things.student}/logs", body)


def _report(kind: str, loads: dict[str, list[Load]]) -> str:
    rates = {name: [rate(load) for load in of_name] for name, of_name in loads.items()}
    rows = [
        [
            name,
            f"{median(one / row for one, row in zip(rates[name], rates[ROW], strict=True)):.3f}",
            f"{median(rates[name]):.1f}",
            milliseconds(median(percentile(load.request_seconds, 99) for load in of_name)),
            f"{median(rates[name]) * _BATCH:.0f}" if name in (BATCH, KNOWN) else "",
        ]
        for name, of_name in loads.items()
    ]
    explanation = (
        f"{STUDENTS} students with {ENTRIES} log entries each to begin with; one worker, {CONNECTIONS} connections "
        f"kept alive, load from another process, {ROUNDS} rounds interleaved, medians. All requests show a token."
    )
    head = ["", "as a share of the row's", "requests/s", "99 % within", "entries/s"]
    return "\n".join([f"## Logs, {kind}", "", explanation, "", table(head, rows)])
