"""The planning endpoint against an endpoint of the same server that decodes and encodes the same bodies."""

import subprocess
import sys
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from typing import Final

import msgspec
from bagatelle import load_instruments
from bagatelle_service.settings import cores

from tests.bench.bench_server import ROOT, Running, running
from tests.bench.load import Load
from tests.bench.processor_time import spent_seconds
from tests.bench.routines import generated_request
from tests.bench.server import ECHO_PATH
from tests.bench.tables import milliseconds, percentile, table

ROUNDS: Final = 3
CONNECTIONS: Final = 4
PLAN_PATH: Final = "/v1/compressions"

ECHO: Final = "echo"
PLAN: Final = "plan"
MEASURED: Final = "plan with measured ladder"
REQUESTS: Final = {ECHO: 3000, PLAN: 240, MEASURED: 40}
"""In each round; the echo goes through the bodies of the plans again and again."""


class Round(msgspec.Struct, frozen=True):
    """One load, and what the server spent on it."""

    load: Load
    processor_seconds: float

    @property
    def rate(self) -> float:
        """Requests a second."""
        return len(self.load.request_seconds) / self.load.whole_seconds

    @property
    def processor_seconds_each(self) -> float:
        """Of one request, in the mean."""
        return self.processor_seconds / len(self.load.request_seconds)


def run() -> str:
    """Measure and write the report."""
    rounds: dict[str, list[Round]] = {name: [] for name in REQUESTS}
    with TemporaryDirectory() as folder:
        settings = {
            "BAGATELLE_DATABASE_URL": f"sqlite:///{folder}/bench.sqlite3",
            "BAGATELLE_OPEN": "true",
            "BAGATELLE_CLOCK_SECONDS": "60",
        }
        with running("tests.bench.server", Path(folder), **settings) as server:
            _measure(server, rounds)
    return _report(rounds)


def _measure(server: Running, rounds: dict[str, list[Round]]) -> None:
    """Fill in the rounds."""
    port, process_id = server
    _load(port, ECHO, _bodies(ECHO, 0)[:100])
    _load(port, PLAN, _bodies(PLAN, ROUNDS)[:20])
    for number in range(ROUNDS):
        for name in REQUESTS:
            bodies = _bodies(name, number)
            before = spent_seconds(process_id)
            load = _load(port, name, bodies)
            rounds[name].append(Round(load, spent_seconds(process_id) - before))


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


def _report(rounds: dict[str, list[Round]]) -> str:
    loads = [each.load for each in rounds[PLAN]]
    size = sum(load.answer_bytes for load in loads) / sum(len(load.request_seconds) for load in loads)
    sent = median(len(body) for body in _bodies(PLAN, 0))
    explanation = (
        f"One worker with {cores()} processes of the engine, {CONNECTIONS} connections kept alive, load from "
        f"another process, {ROUNDS} rounds interleaved, medians. Bodies of {sent / 1000:.1f} kB in the median, no "
        f"two alike; answers of {size / 1000:.0f} kB in the mean. The echo decodes the same bodies to the same "
        "type, without the engine's own strictness, and encodes them again, in the worker alone. Processor time is "
        "that of the worker and its processes together: the second share tells what a plan costs."
    )
    echo = rounds[ECHO]
    ratios = [
        [
            name,
            _median_ratio([each.rate for each in rounds[name]], [each.rate for each in echo]),
            _median_ratio(
                [each.processor_seconds_each for each in echo],
                [each.processor_seconds_each for each in rounds[name]],
            ),
        ]
        for name in (PLAN, MEASURED)
    ]
    rows = [
        [
            name,
            f"{median(each.rate for each in every):.0f}",
            milliseconds(median(percentile(each.load.request_seconds, 99) for each in every)),
            milliseconds(median(each.processor_seconds_each for each in every)),
            str(REQUESTS[name]),
        ]
        for name, every in rounds.items()
    ]
    return "\n".join(
        [
            "## The planning endpoint against an echo",
            "",
            explanation,
            "",
            table(["as a share of the echo's", "requests a second", "requests a processor second"], ratios),
            "",
            table(["", "requests/s", "99 % within", "processor time each", "requests a round"], rows),
        ]
    )


def _median_ratio(above: list[float], below: list[float]) -> str:
    return f"{median(one / other for one, other in zip(above, below, strict=True)):.4f}"
