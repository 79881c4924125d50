"""The line of a TOML document that a JSON Pointer means, so that an error can say where to look."""

import re
from collections.abc import Iterator
from functools import cached_property
from typing import Final, TypeAlias

from msgspec import Struct

from bagatelle.json_pointer import pointer_to

# Possessive, so that no text is gone through twice.
_TOKEN: Final = re.compile(
    r'''[ \t\r]++ | \#[^\n]*+
    | (?P<newline> \n)
    | (?P<text> """ (?: [^"\\] | \\. | "{1,2}(?!") )*+ "{3,5} | \'\'\' (?: [^'] | '{1,2}(?!') )*+ '{3,5}
        | "(?: [^"\\\n] | \\. )*+" | '[^'\n]*+' )
    | (?P<mark> [\[\]{}=,.])
    | (?P<word> [^\s\#\[\]{}=,."']++ )''',
    re.VERBOSE | re.DOTALL,
)
_DEEPEST: Final = 40
"""What lies deeper is refused before anybody asks for its line."""

Path: TypeAlias = tuple[str | int, ...]


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
        for path, line in _Places(self._text).all():
            found.setdefault(pointer_to(path), line)
        return found

    def of(self, pointer: str) -> int:
        """Return the line, from 1, of the field or else of the nearest thing around it."""
        while pointer:
            if pointer in self._lines:
                return self._lines[pointer]
            pointer = pointer[: pointer.rindex("/")]
        return 1


class _Around(Struct):
    """A list or an inline table that has begun and not ended."""

    path: Path
    position: int | None
    """Of the next item of a list; None in a table."""


class _Places:
    """Goes through a document once, token by token."""

    def __init__(self, text: str) -> None:
        self._text = text
        self._table: Path = ()
        self._counts: dict[Path, int] = {}
        self._around: list[_Around] = []
        self._keys: list[str] = []
        self._wants_key = True
        self._brackets = 0
        """Of the header that is being read."""
        self._value: Path = ()
        """Whose value is being read."""

    def all(self) -> Iterator[tuple[Path, int]]:
        """Return every field with its line."""
        line = 1
        for token in _TOKEN.finditer(self._text):
            kind, content = token.lastgroup, token[0]
            if kind == "newline":
                self._end_line()
            elif kind is not None:
                read = self._in_key if self._wants_key else self._in_value
                yield from ((path, line) for path in read(kind, content))
            line += content.count("\n")

    def _end_line(self) -> None:
        if not self._around:
            self._begin_key()

    def _begin_key(self) -> None:
        self._keys, self._wants_key, self._brackets = [], True, 0

    def _in_key(self, kind: str, content: str) -> Iterator[Path]:
        if kind != "mark":
            self._keys.append(content.strip("\"'"))
        elif content == "[":
            self._brackets += 1
        elif content == "]":
            self._table = self._path_of_table()
            self._wants_key = False
            yield self._table
        elif content == "=":
            base = self._around[-1].path if self._around else self._table
            self._value = (*base, *self._keys)
            self._wants_key = False
            for count in range(1, min(len(self._keys), _DEEPEST) + 1):
                yield (*base, *self._keys[:count])
        elif content == "}":
            self._end()

    def _in_value(self, kind: str, content: str) -> Iterator[Path]:
        around = self._around[-1] if self._around else None
        if kind == "mark" and content in "]}":
            self._end()
        elif kind == "mark" and content == ",":
            if around is not None:
                self._value = around.path
                if around.position is None:
                    self._begin_key()
        elif kind != "mark" or content in "[{":
            if around is not None and around.position is not None and self._value == around.path:
                self._value = (*around.path, around.position)
                around.position += 1
                yield self._value
            if content == "[":
                self._around.append(_Around(self._value, 0))
            elif content == "{":
                self._around.append(_Around(self._value, None))
                self._begin_key()

    def _end(self) -> None:
        """End what is around; what follows in it is its next item, or its next key."""
        self._wants_key = False
        if self._around:
            self._around.pop()
        if self._around:
            self._value = self._around[-1].path

    def _path_of_table(self) -> Path:
        """The path of a table; of each array of tables on the way, it is in the last one that was begun."""
        path: Path = ()
        for key in self._keys[: min(len(self._keys), _DEEPEST) - 1]:
            path = (*path, key)
            if path in self._counts:
                path = (*path, self._counts[path])
        path = (*path, self._keys[-1])
        if self._brackets > 1:
            self._counts[path] = self._counts.get(path, -1) + 1
            return (*path, self._counts[path])
        return path
