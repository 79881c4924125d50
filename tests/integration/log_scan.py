"""A scan of everything that a test's service logs, for anything that must be in no log line.

What a test sends and is sent over `tests.integration.school` is registered as it goes by: names, the clients' own
keys, tokens, codes and the ids of people. The fixture `nothing_personal_in_logs` then reads every record of this
process and every log file of a served one.
"""

import logging
import re
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Final

LOGGERS: Final = (
    "bagatelle",
    "bagatelle_service",
    "sqlalchemy",
    "asyncio",
    "aiosqlite",
    "alembic",
    "_granian",
)
PERSONAL_MEMBERS: Final = frozenset(
    {
        *("code", "display_name", "id", "key", "label", "owner", "owner_name", "pseudonym", "secret"),
        *("student", "subject"),
    }
)
"""Members of bodies and answers whose texts are no log line's."""
SHORTEST: Final = 4
"""Shorter texts are looked for by nobody: a client's key `a` is in every line."""

_WORD: Final = re.compile(r"[\w-]+")


class LogScan:
    """What was logged during one test, and what must not be in it."""

    def __init__(self) -> None:
        self.markers: set[str] = set()
        self.files: set[Path] = set()
        self.texts: list[str] = []

    def register(self, *markers: object) -> None:
        """Say what must be in no line."""
        self.markers |= {str(marker) for marker in markers if len(str(marker)) >= SHORTEST}

    def register_members(self, document: Any) -> None:
        """Register what is personal in a JSON document, however deep."""
        match document:
            case dict():
                for name, value in document.items():
                    if name in PERSONAL_MEMBERS and isinstance(value, str):
                        self.register(value)
                    self.register_members(value)
            case list() | tuple():
                for value in document:
                    self.register_members(value)

    def found(self) -> list[str]:
        """List what was found, with the line that holds it; a word that only holds a marker is no finding."""
        text = "\n".join((*self.texts, *self._file_texts()))
        words = set(_WORD.findall(text))
        # A marker of one word is one of the text's words or nowhere; only the others must be searched for.
        near = [
            marker
            for marker in sorted(self.markers)
            if (marker in words if _WORD.fullmatch(marker) else marker in text)
        ]
        patterns = [(marker, re.compile(rf"(?<![\w-]){re.escape(marker)}(?![\w-])")) for marker in near]
        lines = text.splitlines() if near else []
        return [
            f"{marker!r} in {line!r}"
            for marker, pattern in patterns
            for line in lines
            if pattern.search(line)
        ]

    def _file_texts(self) -> Iterator[str]:
        return (path.read_text() for path in sorted(self.files))


class _Gather(logging.Handler):
    def __init__(self, scan: LogScan) -> None:
        super().__init__(logging.DEBUG)
        self.scan = scan
        self.setFormatter(logging.Formatter("%(levelname)s %(name)s: %(message)s"))

    def emit(self, record: logging.LogRecord) -> None:
        self.scan.texts.append(self.format(record))


_scans: list[LogScan] = []


def current_scan() -> LogScan:
    """The scan of the test that runs; one that nobody reads where none does."""
    return _scans[-1] if _scans else LogScan()


@contextmanager
def scanning() -> Iterator[LogScan]:
    """Gather what is logged while the block runs."""
    scan = LogScan()
    handler = _Gather(scan)
    loggers = [logging.getLogger(name) for name in LOGGERS]
    levels = [logger.level for logger in loggers]
    for logger in loggers:
        logger.addHandler(handler)
        # What the service is set to; statements of SQLAlchemy are asked for by the test that is about them.
        if logger.name.startswith("bagatelle"):
            logger.setLevel(logging.INFO)
    _scans.append(scan)
    try:
        yield scan
    finally:
        _scans.remove(scan)
        for logger, level in zip(loggers, levels, strict=True):
            logger.removeHandler(handler)
            logger.setLevel(level)
