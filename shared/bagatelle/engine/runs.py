"""Units in a row said in few words: line 1 to line 8, not each of the eight."""

import re
from collections.abc import Iterable
from typing import Final

from bagatelle.model.text import Message

_NUMBERED: Final = re.compile(r"(?P<kind>.*\D )(?P<number>\d{1,9})")
_LEAST: Final = 3
"""Two are named."""


def in_runs(labels: Iterable[str]) -> tuple[str | Message, ...]:
    """The labels in their order; where three or more count on by one, the first and the last of these alone."""
    runs: list[list[str]] = []
    follows: str | None = None
    for label in labels:
        if label == follows:
            runs[-1].append(label)
        else:
            runs.append([label])
        follows = _next(label)
    return tuple(said for run in runs for said in _said(run))


def _next(label: str) -> str | None:
    """What follows a label that ends in a number of its own; None where it does not."""
    match = _NUMBERED.fullmatch(label)
    return f"{match['kind']}{int(match['number']) + 1}" if match is not None else None


def _said(run: list[str]) -> list[str | Message]:
    if len(run) < _LEAST:
        return list(run)
    return [Message("engine.list.run", {"first": run[0], "last": run[-1]})]
