"""The process in which plugins are tried, started without importing anything of `bagatelle`.

That takes a fifth of a second, in which the process gets as far itself.
"""

import json
import os
import subprocess
import sys
from collections.abc import Sequence
from importlib import metadata
from socket import socket, socketpair
from typing import Final

PROGRAM: Final = "bagatelle_service.plugin_trial"
GROUP: Final = "bagatelle.instruments"
"""Of entry points, as the contract calls it."""
ALLOWED: Final = "BAGATELLE_ALLOWED_PLUGINS"


class TrialProcess:
    """One process, and our end of the socket that it reports to."""

    def __init__(self, names: Sequence[str]) -> None:
        """Start it.

        :param names: of the entry points that it tries, in this order.
        """
        self.names = tuple(names)
        self.socket, its = socketpair()
        try:
            with its:
                self._program = _started(its, self.names)
        except BaseException:
            self.socket.close()
            raise

    def end(self) -> None:
        """End it, if it has not ended by itself; then our end of the socket can be closed without a complaint."""
        self._program.kill()
        self._program.wait()

    def give_up(self) -> None:
        """End it, and hear no more of it."""
        self.end()
        self.socket.close()


def _started(its: socket, names: Sequence[str]) -> "subprocess.Popen[bytes]":
    return subprocess.Popen(
        [sys.executable, "-m", PROGRAM, str(its.fileno()), json.dumps(names)],
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        pass_fds=[its.fileno()],
    )


def names_allowed(setting: str) -> tuple[str, ...] | None:
    """Return the names of a list with commas; None, which is all, where it is empty."""
    if not setting.strip():
        return None
    names = (name.strip() for name in setting.split(","))
    return tuple(name for name in names if name)


def names_to_try(allowed: Sequence[str] | None) -> tuple[str, ...]:
    """Return the names of installed plugins that are allowed, sorted."""
    names = {point.name for point in metadata.entry_points(group=GROUP)}
    return tuple(sorted(name for name in names if allowed is None or name in allowed))


def begin_by_environment() -> TrialProcess:
    """Start trying what the environment allows."""
    return TrialProcess(names_to_try(names_allowed(os.environ.get(ALLOWED, ""))))
