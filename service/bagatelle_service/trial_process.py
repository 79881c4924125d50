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
from tempfile import TemporaryFile
from typing import IO, Final

PROGRAM: Final = "bagatelle_service.plugin_trial"
GROUP: Final = "bagatelle.instruments"
"""Of entry points, as the contract calls it."""
ALLOWED: Final = "BAGATELLE_ALLOWED_PLUGINS"


class TrialProcess:
    """One process, our end of the socket that it reports to, and the file in which it leaves what it found.

    A socket holds less than one plugin's exercises: the process would wait in each until this one reads.
    """

    def __init__(self, names: Sequence[str]) -> None:
        """Start it.

        :param names: of the entry points that it tries, in this order.
        """
        self.names = tuple(names)
        self._found, self._read = _file(), 0
        self.socket, its = socketpair()
        try:
            with its:
                self._program = _started(its, self._found, self.names)
        except BaseException:
            self.socket.close()
            self._found.close()
            raise

    def read(self, length: int) -> bytes:
        """Return the next so many bytes of what it found; fewer where it found fewer."""
        said = os.pread(self._found.fileno(), length, self._read)
        self._read += len(said)
        return said

    def end(self) -> None:
        """End it, if it has not ended by itself; then our end of the socket can be closed without a complaint."""
        self._program.kill()
        self._program.wait()
        self._found.close()

    def give_up(self) -> None:
        """End it, and hear no more of it."""
        self.end()
        self.socket.close()


def _file() -> IO[bytes]:
    """A file without a name; in memory where the system has such files, as there may be no place to write."""
    return os.fdopen(os.memfd_create("plugins"), "rb") if hasattr(os, "memfd_create") else TemporaryFile()


def _started(its: socket, found: IO[bytes], names: Sequence[str]) -> "subprocess.Popen[bytes]":
    descriptors = its.fileno(), found.fileno()
    return subprocess.Popen(
        [sys.executable, "-m", PROGRAM, *map(str, descriptors), json.dumps(names)],
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        pass_fds=descriptors,
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
