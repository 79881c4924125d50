"""The service as a process beside the demonstration, on an SQLite file that a migration makes."""

import os
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from bagatelle_service.demo.client import is_ready

HOST = "127.0.0.1"
COMMAND = (sys.executable, "-m", "bagatelle.command.main")
START_SECONDS = 60
STOP_SECONDS = 20


class NotStartedError(Exception):
    """The service cannot be started. Says where its log is."""


def free_port(wished: int) -> int:
    """Take the wished port, or any other where somebody else listens on it."""
    for port in (wished, 0):
        with socket.socket() as listener:
            # As servers do, so that a port that was just given back counts as free.
            listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            try:
                listener.bind((HOST, port))
            except OSError:
                continue
            return int(listener.getsockname()[1])
    raise NotStartedError(f"No port is free on {HOST}.")


def migrate(environment: dict[str, str]) -> str:
    """Run `bagatelle migrate`; what it says.

    :raises NotStartedError: where it fails.
    """
    done = subprocess.run([*COMMAND, "migrate"], env=environment, capture_output=True, text=True, check=False)  # noqa: S603 - a command of ours
    if done.returncode != 0:
        raise NotStartedError(f"`bagatelle migrate` failed:\n{done.stderr.strip()}")
    return done.stdout.strip()


@contextmanager
def running_service(port: int, environment: dict[str, str], log: Path) -> Iterator["subprocess.Popen[bytes]"]:
    """Start `bagatelle serve --open`, wait until it is ready, and stop it at the end.

    :param log: takes what the service prints.
    :raises NotStartedError: where it ends, or is not ready within `START_SECONDS`.
    """
    command = [*COMMAND, "serve", "--open", "--host", HOST, "--port", str(port)]
    with (
        log.open("wb") as output,
        subprocess.Popen(command, env=environment, stdout=output, stderr=output) as process,  # noqa: S603 - a command of ours
    ):
        try:
            _wait_until_ready(process, port, log)
            yield process
        finally:
            _stop(process)


def demo_environment(folder: Path) -> dict[str, str]:
    """Give the environment of both commands: the database in the folder, unless another one is set."""
    own = {"BAGATELLE_DATABASE_URL": f"sqlite:///{folder / 'bagatelle.sqlite3'}"}
    return {**own, **os.environ}


def _wait_until_ready(process: "subprocess.Popen[bytes]", port: int, log: Path) -> None:
    give_up_at = time.monotonic() + START_SECONDS
    while not is_ready(HOST, port):
        if process.poll() is not None:
            raise NotStartedError(
                f"`bagatelle serve` ended with code {process.returncode}:\n{log.read_text(errors='replace')}"
            )
        if time.monotonic() > give_up_at:
            raise NotStartedError(
                f"`bagatelle serve` is not ready after {START_SECONDS} seconds; its log: {log}"
            )
        time.sleep(0.1)


def _stop(process: "subprocess.Popen[bytes]") -> None:
    process.terminate()
    try:
        process.wait(STOP_SECONDS)
    except subprocess.TimeoutExpired:
        process.kill()
