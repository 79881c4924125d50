"""Watch what a plugin does besides answering: clock, randomness, network, threads, other programs, writing.

Python's audit events tell of what is opened, written, sent or started, whoever does it. Its profiler tells of every
call of a function written in C, under whatever name it was imported: so clocks and random numbers are found where
the plugin's own files call them, by themselves or through the standard library. What another module does while it
is being imported is that module's affair, as long as it only looks at a clock; and so is the time that a log notes.

Not caught: what another thread calls, what C code does without telling (an extension module of its own,
`map(time.time, ...)`), reading of the environment or of files, printing, and what a plugin does to escape.
"""

import _random
import datetime as dt
import inspect
import logging
import opcode
import os
import sys
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from pathlib import Path
from types import FrameType
from typing import Final, NamedTuple, TypeAlias

from bagatelle.catalogue.faults import Fault
from bagatelle.kit.own_files import OwnFiles

Watching: TypeAlias = Callable[[str], AbstractContextManager[None]]
"""Watches what happens within, under a name for what the plugin is doing."""

MATERIAL: Final = "bagatelle_material of "
"""What a plugin is doing while it is asked for material begins so; the exercise follows."""
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
_CLOCK_FREE_WITH: Final = {"asctime": 1, "ctime": 1, "gmtime": 1, "localtime": 1, "strftime": 2}
"""Of it, what only reckons where it is given a time: with so many arguments."""
_DATE_CLOCKS: Final = frozenset({"now", "today", "utcnow"})
_RANDOM_METHODS: Final = frozenset({"getrandbits", "random", "seed"})
_SYSTEM_RANDOM: Final = frozenset({"getrandom", "urandom"})
_THREAD_STARTS: Final = frozenset({"start_joinable_thread", "start_new_thread"})
_CLOCKS_OF_THEIR_OWN: Final = ("<frozen importlib", logging.__file__)
"""Whose clocks decide nothing of the plugin's: the import system's, and those of a log."""


class Watch:
    """What was seen of one plugin; everything once."""

    def __init__(self, own_files: OwnFiles) -> None:
        """Begin to listen; nothing counts before `watching`."""
        self._own_files = own_files
        self._during: str | None = None
        self._seen: dict[tuple[str, str | None], _Sight] = {}
        sys.addaudithook(self._audit)

    @property
    def faults(self) -> tuple[Fault, ...]:
        """What was seen so far: each kind at each line once, with all that the plugin was doing then."""
        return tuple(
            Fault(next(iter(sight.during)), f"{sight.what}{_also(list(sight.during))}")
            for sight in self._seen.values()
        )

    @contextmanager
    def watching(self, during: str) -> Iterator[None]:
        """Watch what happens within. Other threads are not profiled: to start one is a fault by itself.

        :param during: what the plugin is doing, for the faults.
        """
        around = self._during
        self._during = during
        sys.setprofile(self._profile)
        try:
            yield
        finally:
            self._during = around
            if around is None:
                sys.setprofile(None)

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
            self._add(during, f"{effect} ({event}", _named(arguments), caller)
        finally:
            self._during = during

    def _profile(self, frame: FrameType, event: str, function: object) -> None:
        if event != "c_call" or self._during is None:
            return
        kind = _impurity_of(function)
        if kind is not None and not _reckons_only(frame, function):
            caller = self._caller(frame, through_imports=False)
            if caller is not None:
                self._add(self._during, f"{kind} ({getattr(function, '__qualname__', function)}", "", caller)

    def _add(self, during: str, what: str, named: str, caller: str | None) -> None:
        place = f" in {caller}" if caller else ""
        sight = self._seen.setdefault((what, caller), _Sight(f"{what}{named}){place}", {}))
        sight.during.setdefault(during)

    def _caller(self, start: FrameType | None, *, through_imports: bool) -> str | None:
        """Return which line of the plugin's own is behind a call; None where none is."""
        frame = start
        while frame is not None:
            file = frame.f_code.co_filename
            line = self._own_files.line(file, frame.f_lineno)
            if line is not None:
                return line
            if file.startswith(_CLOCKS_OF_THEIR_OWN) and not through_imports:
                return None
            frame = frame.f_back
        return None


class _Sight(NamedTuple):
    what: str
    during: dict[str, None]


def _also(during: list[str]) -> str:
    """Say what else the plugin was doing when the same was seen."""
    first, *others = during
    named = [each for each in others if not each.startswith(MATERIAL)]
    exercises = len(others) - len(named)
    if exercises:
        other = "other " if first.startswith(MATERIAL) else ""
        named.append(f"{MATERIAL}{exercises} {other}exercise{'' if exercises == 1 else 's'}")
    return f" (also in {', '.join(named)})" if named else ""


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


def _reckons_only(frame: FrameType, function: object) -> bool:
    """Whether a function of the module `time` is given the time that it shows, by the instruction that calls it."""
    enough = _CLOCK_FREE_WITH.get(getattr(function, "__name__", ""))
    if enough is None or getattr(function, "__module__", None) != "time":
        return False
    code, place = frame.f_code.co_code, frame.f_lasti
    return opcode.opname[code[place]] == "CALL" and code[place + 1] >= enough


def _impurity_of(function: object) -> str | None:
    name = getattr(function, "__name__", "")
    module = getattr(function, "__module__", None)
    owner = getattr(function, "__self__", None)
    if module == "_thread" and name in _THREAD_STARTS:
        return "starts a thread"
    if module == "time" and name not in _CLOCK_FREE:
        return "clock"
    if name in _DATE_CLOCKS and isinstance(owner, type) and issubclass(owner, dt.date):
        return "clock"
    if name in _RANDOM_METHODS and isinstance(owner, _random.Random):
        return "random numbers"
    if (name in _SYSTEM_RANDOM and module in {"posix", "nt"}) or module == "_uuid":
        return "random numbers"
    return None
