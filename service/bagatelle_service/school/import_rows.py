"""Rows that come in by the thousand, as CSV or as NDJSON: each read by itself, and all that is wrong told at
once."""

import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import islice
from typing import Any, Final, Generic, Literal, TypeVar

import msgspec
from bagatelle.accepted import shown
from bagatelle.decode import decode, typed
from bagatelle.model.errors import FieldError, InvalidInputError, MalformedJsonError
from msgspec import Struct

from bagatelle_service.school.csv_rows import NoTableError, TableRow, read_table
from bagatelle_service.school.errors import SchoolError

Content = TypeVar("Content", bound=Struct)
Form = Literal["csv", "ndjson"]
Cells = Callable[[dict[str, str]], dict[str, Any]]
"""From the cells of a row, those that are not empty, to what JSON would say."""

WRONG_CELLS_LIMIT: Final = 10_000
"""Past so many, the rows that follow are not looked at: to explain each of a million takes too long."""
RECORDS_FOR_A_ROW: Final = 2
"""Of a table so many records are read for each row that may come: empty ones are passed over, and not for ever."""
OF_ALL: Final = -1
_BYTE_ORDER_MARK: Final = "\ufeff"
_NUMBER: Final = re.compile(r"-?(0|[1-9][0-9]{0,14})(\.[0-9]{1,15})?")
_PLACE_IN_LINE: Final = re.compile(r", at line \d+, column (\d+)\.$")


class WrongCell(Struct, frozen=True, kw_only=True):
    """One wrong field of a row."""

    row: int
    """From 0, the header not counted; `OF_ALL` where the header or the whole is wrong."""
    line: int
    """From 1, as a text editor counts."""
    pointer: str
    message: str
    accepted: str = ""


class WrongRowsError(SchoolError):
    """Rows are wrong, so none was stored. Holds all that is wrong of them."""

    def __init__(self, wrong: tuple[WrongCell, ...]) -> None:
        self.wrong = wrong
        rows = {each.row for each in wrong}
        said = "One row is wrong" if len(rows) == 1 else f"{len(rows)} rows are wrong"
        super().__init__(f"{'The rows cannot be read' if OF_ALL in rows else said}. Nothing was stored.")


class ReadRow(Struct, Generic[Content], frozen=True, kw_only=True):
    """A row as it was read."""

    place: int
    """From 0, the header not counted."""
    line: int
    content: Content

    def wrong(self, field: str, message: str, accepted: str) -> WrongCell:
        """Say that a field of it is wrong; the row as such, where none is named."""
        pointer = f"/rows/{self.place}/{field}" if field else f"/rows/{self.place}"
        return WrongCell(row=self.place, line=self.line, pointer=pointer, message=message, accepted=accepted)


class ReadRows(Struct, Generic[Content], frozen=True, kw_only=True):
    """What was read, and what could not be."""

    rows: tuple[ReadRow[Content], ...]
    wrong: tuple[WrongCell, ...]


def refuse_rows(wrong: Iterable[WrongCell]) -> None:
    """Raise all that is wrong at once; nothing where nothing is.

    :raises WrongRowsError: with it, in the order of rows.
    """
    found = tuple(sorted(wrong, key=lambda each: (each.row, each.pointer)))
    if found:
        raise WrongRowsError(found)


def read_ndjson(raw: bytes, kind: type[Content], limit: int) -> ReadRows[Content]:
    """Read one JSON object a line; empty lines are passed over.

    :raises WrongRowsError: where there are no rows, or more than the limit.
    """
    lines = raw.removeprefix(_BYTE_ORDER_MARK.encode()).split(b"\n")
    numbered = [(line, text) for line, text in enumerate(lines, 1) if text.strip()]
    _refuse_count(len(numbered), limit)
    return _read_all(numbered, lambda text: decode(text, kind))


def read_csv(raw: bytes, kind: type[Content], limit: int, cells: Cells) -> ReadRows[Content]:
    """Read a table with a header; rows in which nothing stands are passed over. An empty cell is a field left out.

    :raises WrongRowsError: where the text is no table or the header another; where there are no rows, or more than
        the limit.
    """
    table = _table(raw, limit)
    header, rows = table[0], [row for row in table[1:] if any(row.cells)]
    _refuse_header(header, kind)
    _refuse_count(len(rows), limit)

    def read(row: TableRow) -> Content:
        if len(row.cells) != len(header.cells):
            message = f"the row has {len(row.cells)} cells"
            wrong = FieldError(
                pointer="", message=message, accepted=f"{len(header.cells)}, as the header has"
            )
            raise InvalidInputError((wrong,))
        named = zip(header.cells, row.cells, strict=True)
        return typed(cells({name: cell for name, cell in named if cell}), kind)

    return _read_all([(row.line, row) for row in rows], read)


def plain_number(text: str) -> Any:
    """Read a number as JSON writes it; what is none stays text, and is refused as that."""
    return msgspec.json.decode(text) if _NUMBER.fullmatch(text) else text


def _read_all(numbered: Sequence[tuple[int, Any]], read: Callable[[Any], Content]) -> ReadRows[Content]:
    rows: list[ReadRow[Content]] = []
    wrong: list[WrongCell] = []
    for place, (line, text) in enumerate(numbered):
        if len(wrong) >= WRONG_CELLS_LIMIT:
            wrong.append(too_much_wrong(place, line))
            break
        try:
            rows.append(ReadRow(place=place, line=line, content=read(text)))
        except InvalidInputError as error:
            wrong.extend(wrong_cells(error.errors, place, line))
        except MalformedJsonError as error:
            message = _PLACE_IN_LINE.sub(r", at column \1.", str(error))
            malformed = FieldError(pointer="", message=message, accepted="one JSON object a line")
            wrong.extend(wrong_cells((malformed,), place, line))
    return ReadRows(rows=tuple(rows), wrong=tuple(wrong))


def too_much_wrong(place: int, line: int) -> WrongCell:
    """Say that so much was wrong before a row that nobody looked at it."""
    message = "so much is wrong before this row that it and those that follow were not looked at"
    return WrongCell(row=place, line=line, pointer=f"/rows/{place}", message=message)


def wrong_cells(errors: Iterable[FieldError], place: int, line: int, below: str = "") -> Iterator[WrongCell]:
    """Say of errors which row they are of.

    :param below: the field of the row that their pointers begin at.
    """
    for error in errors:
        pointer = f"/rows/{place}{below}{error.pointer}"
        yield WrongCell(row=place, line=line, pointer=pointer, message=error.message, accepted=error.accepted)


def _table(raw: bytes, limit: int) -> list[TableRow]:
    try:
        text = raw.decode().removeprefix(_BYTE_ORDER_MARK)
        table = list(islice(read_table(text), RECORDS_FOR_A_ROW * limit + 1))
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        raise _no_table(line, "", "the text is not UTF-8", "a table in UTF-8") from None
    except NoTableError as error:
        raise _no_table(error.line, "", error.reason, "a table as RFC 4180 has it") from None
    if not table:
        raise _no_table(1, "", "the body is empty", "a header and rows")
    if len(table) > RECORDS_FOR_A_ROW * limit:
        raise _no_table(1, "/rows", "there are too many rows, empty ones among them", f"at most {limit}")
    return table


def _refuse_header(header: TableRow, kind: type[Content]) -> None:
    known = [field.name for field in msgspec.structs.fields(kind)]
    needed = [field.name for field in msgspec.structs.fields(kind) if field.required]
    wrong = []
    for place, name in enumerate(header.cells):
        if name not in known:
            wrong.append((f"/header/{place}", f"the column {shown(name)} is unknown", ", ".join(known)))
        elif name in header.cells[:place]:
            wrong.append((f"/header/{place}", f"the column {shown(name)} is there twice", "each column once"))
    missing = [name for name in needed if name not in header.cells]
    if missing:
        wrong.append(("/header", f"columns are missing: {', '.join(missing)}", ", ".join(known)))
    refuse_rows(_of_all(header.line, *each) for each in wrong)


def _refuse_count(count: int, limit: int) -> None:
    if count == 0:
        raise _no_table(1, "/rows", "there are no rows", "at least one")
    refuse_too_many(count, limit, "rows")


def refuse_too_many(count: int, limit: int, things: str) -> None:
    """See that not too much came at once.

    :raises WrongRowsError: where it did.
    """
    if count > limit:
        accepted = f"at most {limit}; the rest in another request"
        raise _no_table(1, "/rows", f"{count} {things} are too many", accepted)


def _no_table(line: int, pointer: str, message: str, accepted: str) -> WrongRowsError:
    return WrongRowsError((_of_all(line, pointer, message, accepted),))


def _of_all(line: int, pointer: str, message: str, accepted: str) -> WrongCell:
    return WrongCell(row=OF_ALL, line=line, pointer=pointer, message=message, accepted=accepted)
