"""A server of the benchmark in a process of its own, on a free port of loopback."""

import os
import signal
import socket
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from time import monotonic, sleep
from typing import Final, NamedTuple

ROOT: Final = Path(__file__).parents[2]
_PATIENCE_SECONDS: Final = 60


class Running(NamedTuple):
    """A server that answers."""

    port: int
    process_id: int


@contextmanager
def running(module: str, folder: Path, **settings: str) -> Iterator[Running]:
    """Start the module as a server with the port as its argument; stop it at the end. Its log is in the folder."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port: int = free.getsockname()[1]
    log = folder / "server.log"
    with log.open("wb") as sink:
        process = subprocess.Popen(
            [sys.executable, "-m", module, str(port)],
            cwd=ROOT,
            env=os.environ | settings,
            stdout=sink,
            stderr=sink,
        )
        try:
            _wait_for(port, process, log)
            yield Running(port, process.pid)
        finally:
            process.send_signal(signal.SIGINT)
            process.wait(timeout=30)


def _wait_for(port: int, process: subprocess.Popen[bytes], log: Path) -> None:
    end = monotonic() + _PATIENCE_SECONDS
    while monotonic() < end and process.poll() is None:
        try:
            socket.create_connection(("127.0.0.1", port), timeout=1).close()
        except OSError:
            sleep(0.1)
        else:
            return
    raise RuntimeError(f"The server did not start:\n{log.read_text()[-2000:]}")
