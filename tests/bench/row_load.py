"""A server with a route that reads one row by its key, and loads on it: what other handlers are compared with."""

import os
import signal
import socket
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from time import monotonic, sleep
from typing import Final

import msgspec

from tests.bench.load import Load
from tests.bench.token_load import SHOWN_BY, TokenRequest

ROOT: Final = Path(__file__).parents[2]
CONNECTIONS: Final = 4


@contextmanager
def row_server(url: str, folder: Path) -> Iterator[int]:
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


def loaded(port: int, secret: str, requests: list[TokenRequest]) -> Load:
    """Send requests with a token from a process of its own, and say how long they took."""
    done = subprocess.run(
        [sys.executable, "-m", "tests.bench.token_load", str(port), str(CONNECTIONS)],
        cwd=ROOT,
        env=os.environ | {SHOWN_BY: secret},
        input=b"\n".join(map(msgspec.json.encode, requests)),
        stdout=subprocess.PIPE,
        check=True,
        timeout=200,
    )
    return msgspec.json.decode(done.stdout, type=Load)


def rate(load: Load) -> float:
    """Requests a second."""
    return len(load.request_seconds) / load.whole_seconds
