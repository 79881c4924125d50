"""The line of every field, however it is written."""

import tomllib
from collections.abc import Iterator

import pytest
from bagatelle.toml_catalogue.lines import Lines
from hypothesis import given
from hypothesis import strategies as st

TEXT = '''\
# written as """ three quotes, and an ' apostrophe
form = 1 # "
[a]
b = "# no comment"
c.d = [
  "one", # ]
  { x = 1, y = [2,
    3] },
  \'\'\'long
[no.header]
text = 1\'\'\',
]
e = """
f = "no field"
\\""" still
""" # """
g = { h = { i = 1 }, "j k" = 2, l.m = 3 }
[[n]]
o = """a"""""
[[n]]
o = 1979-05-27 07:32:00
p = [
  [1, 2],
  [{ q = 1.5 }],
]
[n.r]
s = ''
[t]
[t."u.v"]
w = []
'''


@pytest.mark.parametrize(
    ("pointer", "line"),
    [
        ("/form", 2),
        ("/a", 3),
        ("/a/b", 4),
        ("/a/c", 5),
        ("/a/c/d", 5),
        ("/a/c/d/0", 6),
        ("/a/c/d/1", 7),
        ("/a/c/d/1/x", 7),
        ("/a/c/d/1/y/1", 8),
        ("/a/c/d/2", 9),
        ("/a/e", 13),
        ("/a/g", 17),
        ("/a/g/h/i", 17),
        ("/a/g/j k", 17),
        ("/a/g/l/m", 17),
        ("/n/0", 18),
        ("/n/0/o", 19),
        ("/n/1/o", 21),
        ("/n/1/p/0/1", 23),
        ("/n/1/p/1/0/q", 24),
        ("/n/1/r/s", 27),
        ("/t", 28),
        ("/t/u.v/w", 30),
        # What is not there is where it would be.
        ("/a/c/z", 5),
        ("/n/1/r/z", 26),
        ("/z", 1),
        ("", 1),
    ],
)
def test_each_field_has_its_line(pointer: str, line: int) -> None:
    tomllib.loads(TEXT)
    assert Lines(TEXT).of(pointer) == line


@given(
    st.integers(1, 3), st.sampled_from(["x = 1", 'x = """a\nb"""', "x = [\n1,\n]", "# '''", "[q]", "x = {}"])
)
def test_what_stands_before_moves_the_line_and_nothing_else(times: int, before: str) -> None:
    for text in _all_that_is_toml(before, times):
        assert Lines(text).of("/last/field") == text[: text.index("field")].count("\n") + 1


def _all_that_is_toml(before: str, times: int) -> Iterator[str]:
    lines = "\n".join(before.replace("x", f"x{number}").replace("q", f"q{number}") for number in range(times))
    yield f"{lines}\n[last]\nfield = 1\n"
    yield f"{lines}\n[last]\n\n# comment\nfield = [\n2]\n"
