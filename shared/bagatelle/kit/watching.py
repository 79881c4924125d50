"""Watch what a plugin does besides answering: clock, randomness, network, other programs, writing.

Python's audit events tell of what is opened, written, sent or started, whoever does it. Its profiler tells of every
call of a function written in C, under whatever name it was imported: so clocks and random numbers are found where
the plugin's own files call them, by themselves or through the standard library. What another module does while it
is being imported is that module's affair, as long as it only looks at a clock.

Not caught: what C code does without telling (an extension module of its own, `map(time.time, ...)`), reading of the
environment or of files, printing, and what a plugin does to escape.
"""

import _random
import datetime as dt
import inspect
import os
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from pathlib import Path
from types import FrameType
from typing import Final, TypeAlias

from bagatelle.catalogue.faults import Fault

Watching: TypeAlias = Callable[[str], AbstractContextManager[None]]
"""Watches what happens within, under a name for what the plugin is doing."""

_WRITING_FLAGS: Final = os.O_WRONLY | os.O_RDWR | os.O_CREAT | os.O_TRUNC | os.O_APPEND
_WRITING_MODES: Final = frozenset("wax+")
_EFFECTS: Final = {
    "ftplib.connect": "network",
    "http.client.connect": "network",
    "os.chmod": "writes",
    "os.chown": "writes",
    "os.exec": "starts another program",
    "os.fork": "starts another process",
    "os.forkpty": "starts another process",
    "os.link": "writes",
    "os.mkdir": "writes",
    "os.posix_spawn": "starts another program",
    "os.putenv": "changes the environment",
    "os.remove": "writes",
    "os.removexattr": "writes",
    "os.rename": "writes",
    "os.rmdir": "writes",
    "os.setxattr": "writes",
    "os.spawn": "starts another program",
    "os.startfile": "starts another program",
    "os.symlink": "writes",
    "os.system": "starts another program",
    "os.truncate": "writes",
    "os.unsetenv": "changes the environment",
    "os.utime": "writes",
    "smtplib.connect": "network",
    "sqlite3.connect": "opens a database",
    "subprocess.Popen": "starts another program",
    "urllib.Request": "network",
    "webbrowser.open": "starts another program",
}
_CLOCK_FREE: Final = frozenset({"mktime", "strptime"})
"""Of the module `time`, what only reckons."""
_DATE_CLOCKS: Final = frozenset({"now", "today", "utcnow"})
_RANDOM_METHODS: Final = frozenset({"getrandbits", "random", "seed"})
_SYSTEM_RANDOM: Final = frozenset({"getrandom", "urandom"})
_IMPORT_SYSTEM: Final = "<frozen importlib"


class Watch:
    """What was seen of one plugin; everything once."""

    def __init__(self, roots: tuple[Path, ...]) -> None:
        """Begin to listen; nothing counts before `watching`.

        :param roots: the plugin's own package, or its one module.
        """
        self._roots = tuple(f"{root}{os.sep}" if root.is_dir() else str(root) for root in roots)
        self._during: str | None = None
        self._seen: dict[Fault, None] = {}
        sys.addaudithook(self._audit)

    @property
    def faults(self) -> tuple[Fault, ...]:
        """What was seen so far."""
        return tuple(self._seen)

    @contextmanager
    def watching(self, during: str) -> Iterator[None]:
        """Watch what happens within.

        :param during: what the plugin is doing, for the faults.
        """
        around = self._during
        self._during = during
        threading.setprofile(self._profile)
        sys.setprofile(self._profile)
        try:
            yield
        finally:
            self._during = around
            if around is None:
                sys.setprofile(None)
                threading.setprofile(None)

    def _audit(self, event: str, arguments: tuple[object, ...]) -> None:
        during = self._during
        if during is None:
            return
        effect = _effect_of(event, arguments)
        if effect is None:
            return
        self._during = None  # what follows is not the plugin's
        try:
            caller = self._caller(inspect.currentframe(), through_imports=True)
            self._add(during, f"{effect} ({event}{_named(arguments)})", caller)
        finally:
            self._during = during

    def _profile(self, frame: FrameType, event: str, function: object) -> None:
        if event != "c_call" or self._during is None:
            return
        kind = _impurity_of(function)
        if kind is not None:
            caller = self._caller(frame, through_imports=False)
            if caller is not None:
                self._add(self._during, f"{kind} ({getattr(function, '__qualname__', function)})", caller)

    def _add(self, during: str, what: str, caller: str | None) -> None:
        self._seen.setdefault(Fault(during, f"{what}{f' in {caller}' if caller else ''}"))

    def _caller(self, start: FrameType | None, *, through_imports: bool) -> str | None:
        """Return which line of the plugin's own is behind a call; None where none is."""
        frame = start
        while frame is not None:
            file = frame.f_code.co_filename
            if file.startswith(self._roots):
                return f"{Path(file).name}, line {frame.f_lineno}"
            if file.startswith(_IMPORT_SYSTEM) and not through_imports:
                return None
            frame = frame.f_back
        return None


def _effect_of(event: str, arguments: tuple[object, ...]) -> str | None:
    if event == "open":
        return "writes" if _opens_for_writing(arguments) else None
    if event.startswith("socket."):
        return "network"
    return _EFFECTS.get(event)


def _opens_for_writing(arguments: tuple[object, ...]) -> bool:
    _, mode, flags = arguments
    if isinstance(mode, str) and _WRITING_MODES & set(mode):
        return True
    return isinstance(flags, int) and bool(flags & _WRITING_FLAGS)


def _named(arguments: tuple[object, ...]) -> str:
    """What was written to or started, without folders, which differ from machine to machine."""
    first = arguments[0] if arguments else None
    return f" of {Path(first).name}" if isinstance(first, str) and first else ""


def _impurity_of(function: object) -> str | None:
    name = getattr(function, "__name__", "")
    module = getattr(function, "__module__", None)
    owner = getattr(function, "__self__", None)
    if module == "time" and name not in _CLOCK_FREE:
        return "clock"
    if name in _DATE_CLOCKS and isinstance(owner, type) and issubclass(owner, dt.date):
        return "clock"
    if name in _RANDOM_METHODS and isinstance(owner, _random.Random):
        return "random numbers"
    if (name in _SYSTEM_RANDOM and module in {"posix", "nt"}) or module == "_uuid":
        return "random numbers"
    return None
