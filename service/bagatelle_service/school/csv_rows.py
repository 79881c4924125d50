"""Tables as text: comma-separated values as RFC 4180 (section 2) has them, read strictly.

A line may end with LF alone too, as programs write it. All that a cell holds is data: spaces count, and what looks
like a formula is text.
"""

import re
from collections.abc import Iterator
from typing import Final

from msgspec import Struct

CELLS_LIMIT: Final = 100
# Possessive, so that a quote that is never closed is found out in one go.
_CELL: Final = re.compile(r'(?:"(?P<quoted>[^"]*+(?:""[^"]*+)*+)"|(?P<plain>[^",\r\n]*+))(?P<end>,|\r?\n|\Z)')


class TableRow(Struct, frozen=True):
    """A record: the line that it begins in, from 1, and its cells."""

    line: int
    cells: tuple[str, ...]


class NoTableError(ValueError):
    """The text breaks the grammar, from this line on."""

    def __init__(self, line: int, reason: str) -> None:
        self.line = line
        self.reason = reason
        super().__init__(f"line {line}: {reason}")


def read_table(text: str) -> Iterator[TableRow]:
    """Read record by record.

    :raises NoTableError: at the first place that cannot be read; where a record ends is not known from there on.
    """
    place, line = 0, 1
    while place < len(text):
        cells, begins = [], line
        while True:
            cell = _CELL.match(text, place)
            if cell is None:
                raise _broken(text, place, line)
            quoted = cell["quoted"]
            cells.append(cell["plain"] if quoted is None else quoted.replace('""', '"'))
            if len(cells) > CELLS_LIMIT:
                raise NoTableError(line, f"the row has more than {CELLS_LIMIT} cells")
            line += cell[0].count("\n")
            place = cell.end()
            if cell["end"] != ",":
                break
        yield TableRow(begins, tuple(cells))


def _broken(text: str, place: int, line: int) -> NoTableError:
    if text[place] != '"':
        return NoTableError(
            line, "a quote, or a carriage return by itself, stands in a cell without quotes around it"
        )
    rest = text[place + 1 :].replace('""', "")
    if '"' not in rest:
        return NoTableError(line, "the quote that opens a cell here is never closed")
    return NoTableError(line, "something stands between the quote that closes a cell and the next comma")
