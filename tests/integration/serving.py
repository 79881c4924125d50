"""A service in a process of its own, over real HTTP."""

import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import httpx

from tests.integration.log_scan import current_scan

COMMAND = (sys.executable, "-m", "bagatelle.command.main")
PATIENCE_SECONDS = 30


def free_port() -> int:
    with socket.socket() as listener:
        listener.bind(("127.0.0.1", 0))
        port: int = listener.getsockname()[1]
        return port


def environment(**variables: str) -> dict[str, str]:
    """Give this process's environment without settings of the service, and with those given."""
    kept = {name: value for name, value in os.environ.items() if not name.startswith("BAGATELLE_")}
    return {**kept, **variables}


def run_command(folder: Path, *arguments: str, **variables: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [*COMMAND, *arguments],
        cwd=folder,
        env=environment(**variables),
        capture_output=True,
        text=True,
        timeout=PATIENCE_SECONDS,
        check=False,
    )


class ServedProcess:
    """A `bagatelle serve` in a folder, with its workers in one process group; its log is in `serve.log` there."""

    def __init__(self, folder: Path, *arguments: str, **variables: str) -> None:
        self.port = free_port()
        self.log = folder / "serve.log"
        current_scan().files.add(self.log)
        with self.log.open("a") as log:
            self._process = subprocess.Popen(
                [*COMMAND, "serve", "--port", str(self.port), *arguments],
                cwd=folder,
                env=environment(**variables),
                stdout=log,
                stderr=log,
                start_new_session=True,
            )

    @property
    def url(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def wait_until_live(self) -> None:
        until = time.monotonic() + PATIENCE_SECONDS
        while time.monotonic() < until and self._process.poll() is None:
            try:
                httpx.get(f"{self.url}/health/live", timeout=PATIENCE_SECONDS).raise_for_status()
            except httpx.TransportError:
                time.sleep(0.05)
            else:
                return
        raise AssertionError("the service did not start: " + self.log.read_text())

    def kill(self) -> None:
        """SIGKILL to the server and its workers at once: nobody of them does anything more."""
        os.killpg(self._process.pid, signal.SIGKILL)
        self._process.wait(PATIENCE_SECONDS)

    def stop(self) -> None:
        """Ask it to stop, and wait until it has."""
        self._process.terminate()
        self._process.wait(PATIENCE_SECONDS)


@contextmanager
def served(folder: Path, *arguments: str, **variables: str) -> Iterator[httpx.Client]:
    """Run `bagatelle serve` in a folder until the block ends; its log is in `serve.log` there."""
    process = ServedProcess(folder, *arguments, **variables)
    try:
        process.wait_until_live()
        with httpx.Client(base_url=process.url, timeout=PATIENCE_SECONDS) as client:
            yield client
    finally:
        process.stop()
