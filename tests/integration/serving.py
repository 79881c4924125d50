"""A service in a process of its own, over real HTTP."""

import os
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import httpx

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


@contextmanager
def served(folder: Path, *arguments: str, **variables: str) -> Iterator[httpx.Client]:
    """Run `bagatelle serve` in a folder until the block ends; its log is in `serve.log` there."""
    port = free_port()
    with (folder / "serve.log").open("w") as log:
        process = subprocess.Popen(
            [*COMMAND, "serve", "--port", str(port), *arguments],
            cwd=folder,
            env=environment(**variables),
            stdout=log,
            stderr=log,
        )
    try:
        with httpx.Client(base_url=f"http://127.0.0.1:{port}", timeout=PATIENCE_SECONDS) as client:
            _wait_until_live(client, process, folder)
            yield client
    finally:
        process.terminate()
        process.wait(PATIENCE_SECONDS)


def _wait_until_live(client: httpx.Client, process: "subprocess.Popen[bytes]", folder: Path) -> None:
    until = time.monotonic() + PATIENCE_SECONDS
    while time.monotonic() < until and process.poll() is None:
        try:
            client.get("/health/live").raise_for_status()
        except httpx.TransportError:
            time.sleep(0.05)
        else:
            return
    raise AssertionError("the service did not start: " + (folder / "serve.log").read_text())
