"""The planning endpoint against an endpoint of the same server that decodes and encodes the same bodies."""

import os
import signal
import socket
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from time import monotonic, sleep
from typing import Final

import msgspec
from bagatelle import load_instruments

from tests.bench.load import Load
from tests.bench.routines import generated_request
from tests.bench.server import ECHO_PATH
from tests.bench.tables import milliseconds, percentile, table

ROOT: Final = Path(__file__).parents[2]
ROUNDS: Final = 3
CONNECTIONS: Final = 4
PLAN_PATH: Final = "/v1/compressions"

ECHO: Final = "echo"
PLAN: Final = "plan"
MEASURED: Final = "plan with measured ladder"
REQUESTS: Final = {ECHO: 3000, PLAN: 240, MEASURED: 40}
"""In each round; the echo goes through the bodies of the plans again and again."""


def run() -> str:
    """Measure and write the report."""
    loads: dict[str, list[Load]] = {name: [] for name in REQUESTS}
    with _server() as port:
        _load(port, ECHO, _bodies(ECHO, 0)[:100])
        _load(port, PLAN, _bodies(PLAN, ROUNDS)[:20])
        for number in range(ROUNDS):
            for name in REQUESTS:
                loads[name].append(_load(port, name, _bodies(name, number)))
    return _report(loads)


def _bodies(name: str, number: int) -> list[bytes]:
    """The bodies of one round: for the plans no two alike, in no round."""
    instruments = load_instruments()
    count = REQUESTS[PLAN if name == ECHO else name]
    first = 1000 * number + (500 if name == MEASURED else 0)
    bodies = [
        msgspec.json.encode(
            generated_request(first + place, instruments) | {"measure_ladder": name == MEASURED}
        )
        for place in range(count)
    ]
    return [bodies[place % count] for place in range(REQUESTS[name])]


@contextmanager
def _server() -> Iterator[int]:
    """Start the service on a free port of loopback, with a database of its own; stop it at the end."""
    with TemporaryDirectory() as folder, socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
        free.close()
        environment = os.environ | {
            "BAGATELLE_DATABASE_URL": f"sqlite:///{folder}/bench.sqlite3",
            "BAGATELLE_OPEN": "true",
            "BAGATELLE_CLOCK_SECONDS": "60",
        }
        log = Path(folder) / "log"
        with log.open("wb") as sink:
            process = subprocess.Popen(
                [sys.executable, "-m", "tests.bench.server", str(port)],
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
    while monotonic() < end:
        if process.poll() is not None:
            break
        try:
            socket.create_connection(("127.0.0.1", port), timeout=1).close()
        except OSError:
            sleep(0.1)
        else:
            return
    raise RuntimeError(f"The server did not start:\n{log.read_text()[-2000:]}")


def _load(port: int, name: str, bodies: list[bytes]) -> Load:
    path = ECHO_PATH if name == ECHO else PLAN_PATH
    done = subprocess.run(
        [sys.executable, "-m", "tests.bench.load", str(port), path, str(CONNECTIONS)],
        cwd=ROOT,
        input=b"\n".join(bodies),
        stdout=subprocess.PIPE,
        check=True,
        timeout=200,
    )
    return msgspec.json.decode(done.stdout, type=Load)


def _report(loads: dict[str, list[Load]]) -> str:
    rates = {
        name: [len(load.request_seconds) / load.whole_seconds for load in every]
        for name, every in loads.items()
    }
    late = {name: [percentile(load.request_seconds, 99) for load in every] for name, every in loads.items()}
    size = sum(load.answer_bytes for load in loads[PLAN]) / sum(
        len(load.request_seconds) for load in loads[PLAN]
    )
    sent = [len(body) for body in _bodies(PLAN, 0)]
    ratios = [
        [
            name,
            f"{median(rate / echo for rate, echo in zip(rates[name], rates[ECHO], strict=True)):.4f}",
        ]
        for name in (PLAN, MEASURED)
    ]
    rows = [
        [name, f"{median(rates[name]):.0f}", milliseconds(median(late[name])), str(REQUESTS[name])]
        for name in REQUESTS
    ]
    explanation = (
        f"One server process, {CONNECTIONS} connections kept alive, load from a second process, {ROUNDS} rounds "
        f"interleaved, medians. Bodies of {median(sent) / 1000:.1f} kB in the median, no two alike; answers of "
        f"{size / 1000:.0f} kB in the mean. The echo decodes the same bodies to the same type, without the "
        "engine's own strictness, and encodes them again."
    )
    return "\n".join(
        [
            "## The planning endpoint against an echo",
            "",
            explanation,
            "",
            table(["requests a second, as a share of the echo's", "ratio"], ratios),
            "",
            table(["", "requests/s", "99 % within", "requests a round"], rows),
        ]
    )
