"""Tables as text, against RFC 4180 and against Python's own reader and writer of them.

RFC 4180, Common Format and MIME Type for Comma-Separated Values (CSV) Files, Y. Shafranovich, October 2005: the
examples are those of section 2, as the RFC prints them, with CRLF written out.
"""

import csv
import io

import pytest
from bagatelle_service.school.csv_rows import NoTableError, read_table
from hypothesis import given
from hypothesis import strategies as st

CELLS = st.text(alphabet=st.sampled_from("ab ,\";=+-@\n\r\t'é音"), max_size=6)
TABLES = st.lists(st.lists(CELLS, min_size=1, max_size=4), min_size=1, max_size=5)


def cells_of(text: str) -> list[list[str]]:
    return [list(row.cells) for row in read_table(text)]


@pytest.mark.parametrize(
    ("text", "rows"),
    [
        # 1: each record on a line of its own
        ("aaa,bbb,ccc\r\nzzz,yyy,xxx\r\n", [["aaa", "bbb", "ccc"], ["zzz", "yyy", "xxx"]]),
        # 2: the last record may have no line break
        ("aaa,bbb,ccc\r\nzzz,yyy,xxx", [["aaa", "bbb", "ccc"], ["zzz", "yyy", "xxx"]]),
        # 3: a header line
        (
            "field_name,field_name,field_name\r\naaa,bbb,ccc\r\nzzz,yyy,xxx\r\n",
            [["field_name"] * 3, ["aaa", "bbb", "ccc"], ["zzz", "yyy", "xxx"]],
        ),
        # 4: spaces are part of a field
        ("aaa, bbb ,ccc", [["aaa", " bbb ", "ccc"]]),
        # 5: fields with quotes around them
        ('"aaa","bbb","ccc"\r\nzzz,yyy,xxx', [["aaa", "bbb", "ccc"], ["zzz", "yyy", "xxx"]]),
        # 6: line breaks, quotes and commas within quotes
        ('"aaa","b\r\nbb","ccc"\r\nzzz,yyy,xxx', [["aaa", "b\r\nbb", "ccc"], ["zzz", "yyy", "xxx"]]),
        # 7: a quote within quotes, written twice
        ('"aaa","b""bb","ccc"', [["aaa", 'b"bb', "ccc"]]),
    ],
)
def test_the_examples_of_rfc_4180(text: str, rows: list[list[str]]) -> None:
    assert cells_of(text) == rows


@given(TABLES, st.booleans(), st.sampled_from(["\r\n", "\n"]))
def test_what_python_writes_is_read(table: list[list[str]], all_quoted: bool, end: str) -> None:
    written = io.StringIO(newline="")
    if not all_quoted and end == "\n":
        # Python leaves the quotes out around a carriage return that ends no line.
        table = [[cell.replace("\r", "") for cell in row] for row in table]
    csv.writer(
        written, quoting=csv.QUOTE_ALL if all_quoted else csv.QUOTE_MINIMAL, lineterminator=end
    ).writerows(table)
    assert cells_of(written.getvalue()) == table


@given(st.text(alphabet=st.sampled_from('ab,"\n '), max_size=24))
def test_what_is_read_python_reads_alike(text: str) -> None:
    try:
        rows = cells_of(text)
    except NoTableError:
        return
    # Python gives an empty line as a record without cells.
    assert [row or [""] for row in csv.reader(io.StringIO(text, newline=""), strict=True)] == rows


@given(TABLES)
def test_lines_are_counted_as_an_editor_counts(table: list[list[str]]) -> None:
    written = io.StringIO(newline="")
    csv.writer(written, quoting=csv.QUOTE_ALL).writerows(table)
    text = written.getvalue()
    begins = [row.line for row in read_table(text)]
    assert begins[0] == 1
    breaks = [sum(cell.count("\n") for cell in row) + 1 for row in table]
    assert begins == [1 + sum(breaks[:place]) for place in range(len(table))]


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ('a,b\n1,"2\n3,4\n', 2),
        ('a,b\n1,x"y\n', 2),
        ('a,b\n"1"x,2\n', 2),
        ('a,"b\nc"\n\nd,e"', 4),
        ("a\rb\n", 1),
    ],
)
def test_what_is_no_table_is_refused_with_its_line(text: str, line: int) -> None:
    with pytest.raises(NoTableError) as caught:
        cells_of(text)
    assert caught.value.line == line
    assert caught.value.reason


def test_no_row_is_endless() -> None:
    assert len(cells_of("," * 99)[0]) == 100
    with pytest.raises(NoTableError):
        cells_of("," * 4_000_000)
