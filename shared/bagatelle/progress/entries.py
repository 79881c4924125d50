"""From what was delivered to what counts: one revision of each entry, in one order, and days by what they were."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from typing import Final

import msgspec

from bagatelle.model.progress import LogEntry, LogKind

_WEIGHTIEST_FIRST: Final[tuple[LogKind, ...]] = ("usual", "short", "free")


def entries_that_count(delivered: Iterable[LogEntry]) -> tuple[LogEntry, ...]:
    """The newest revision of each entry that is not taken back, in order of day and id.

    However often and in whatever order they were delivered, the same ones come out. Where two of one revision
    differ, which no careful keeper of logs lets happen, the one whose encoding is greater counts.
    """
    newest: dict[str, LogEntry] = {}
    for entry in delivered:
        known = newest.get(entry.id)
        if known is None or _is_newer(entry, known):
            newest[entry.id] = entry
    return tuple(
        sorted(
            (entry for entry in newest.values() if not entry.removed), key=lambda each: (each.day, each.id)
        )
    )


def was_played(entry: LogEntry) -> bool:
    """Whether anything came of it: some time, or a whole unit whose time nobody took."""
    return entry.seconds > 0 or bool(entry.units)


def kept_days(entries: Iterable[LogEntry]) -> Mapping[date, LogKind]:
    """Each day on which anything was played, with the weightiest kind of what was: usual, short, free."""
    kinds: dict[date, LogKind] = {}
    for entry in entries:
        if was_played(entry):
            kinds[entry.day] = min(entry.kind, kinds.get(entry.day, entry.kind), key=_WEIGHTIEST_FIRST.index)
    return kinds


def entries_by_day(entries: Iterable[LogEntry]) -> Mapping[date, Sequence[LogEntry]]:
    """Entries of each day that has any."""
    by_day: dict[date, list[LogEntry]] = {}
    for entry in entries:
        by_day.setdefault(entry.day, []).append(entry)
    return by_day


def _is_newer(entry: LogEntry, known: LogEntry) -> bool:
    if entry.revision != known.revision:
        return entry.revision > known.revision
    return entry != known and msgspec.json.encode(entry) > msgspec.json.encode(known)
