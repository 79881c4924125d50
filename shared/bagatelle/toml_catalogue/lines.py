"""The line of a TOML document that a JSON Pointer means, so that an error can say where to look."""

import re
from collections.abc import Iterable, Iterator
from functools import cached_property
from typing import Final

from bagatelle.json_pointer import pointer_to

_KEY: Final = r"""(?:[A-Za-z0-9_-]+|"(?:[^"\\]|\\.)*"|'[^']*')"""
_DOTTED: Final = rf"{_KEY}(?:\s*\.\s*{_KEY})*"
_HEADER: Final = re.compile(rf"^\s*(\[\[?)\s*({_DOTTED})\s*\]")
_ASSIGNMENT: Final = re.compile(rf"^\s*({_DOTTED})\s*=")
_ONE_KEY: Final = re.compile(_KEY)
_LONG_TEXT: Final = re.compile(r"\"\"\"|'''")


class Lines:
    """Where the fields of one document stand."""

    def __init__(self, text: str) -> None:
        """Keep the document; it is gone through when the first line is asked for, as most are never.

        :param text: found to be TOML before.
        """
        self._text = text

    @cached_property
    def _lines(self) -> dict[str, int]:
        found: dict[str, int] = {}
        for path, line in _places(self._text):
            found.setdefault(pointer_to(path), line)
        return found

    def of(self, pointer: str) -> int:
        """Return the line, from 1, of the field or else of the nearest thing around it."""
        while pointer:
            if pointer in self._lines:
                return self._lines[pointer]
            pointer = pointer[: pointer.rindex("/")]
        return 1


def _places(text: str) -> Iterator[tuple[tuple[str | int, ...], int]]:
    table: tuple[str | int, ...] = ()
    counts: dict[tuple[str | int, ...], int] = {}
    for line, content in _lines_outside_long_texts(text):
        header = _HEADER.match(content)
        if header is not None:
            table = _table(_keys(header[2]), counts, is_array=header[1] == "[[")
            yield table, line
            continue
        assignment = _ASSIGNMENT.match(content)
        if assignment is not None:
            keys = _keys(assignment[1])
            for count in range(1, len(keys) + 1):
                yield (*table, *keys[:count]), line


def _table(
    keys: tuple[str, ...], counts: dict[tuple[str | int, ...], int], *, is_array: bool
) -> tuple[str | int, ...]:
    """The path of a table; of each array of tables on the way, it is in the last one that was begun."""
    path: tuple[str | int, ...] = ()
    for key in keys[:-1]:
        path = (*path, key)
        if path in counts:
            path = (*path, counts[path])
    path = (*path, keys[-1])
    if is_array:
        counts[path] = counts.get(path, -1) + 1
        return (*path, counts[path])
    return path


def _keys(dotted: str) -> tuple[str, ...]:
    return tuple(key.strip("\"'") for key in _ONE_KEY.findall(dotted))


def _lines_outside_long_texts(text: str) -> Iterable[tuple[int, str]]:
    closing = None
    for line, content in enumerate(text.split("\n"), start=1):
        if closing is None:
            yield line, content
        for mark in _LONG_TEXT.findall(content):
            if closing is None:
                closing = mark
            elif closing == mark:
                closing = None
