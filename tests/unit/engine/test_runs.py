"""Units in a row said in few words."""

import pytest
from bagatelle.engine.runs import in_runs
from bagatelle.model.text import Message
from hypothesis import given
from hypothesis import strategies as st


@pytest.mark.parametrize(
    ("labels", "expected"),
    [
        (["line 1", "line 2", "line 3"], ["line 1 to line 3"]),
        (["line 1", "line 2"], ["line 1", "line 2"]),
        (["line 1", "line 2", "line 5", "line 6", "line 7"], ["line 1", "line 2", "line 5 to line 7"]),
        (["line 3", "line 2", "line 1"], ["line 3", "line 2", "line 1"]),
        (["bars 1-3", "bars 4-6", "bars 7-9"], ["bars 1-3", "bars 4-6", "bars 7-9"]),
        (["C", "D", "E"], ["C", "D", "E"]),
    ],
)
def test_three_in_a_row_are_one(labels: list[str], expected: list[str]) -> None:
    said = [
        f"{each.parameters['first']} to {each.parameters['last']}" if isinstance(each, Message) else each
        for each in in_runs(labels)
    ]
    assert said == expected


@given(st.lists(st.integers(0, 12), unique=True, max_size=12))
def test_nothing_is_lost_and_nothing_added(numbers: list[int]) -> None:
    said: list[int] = []
    for each in in_runs(f"line {number}" for number in numbers):
        if isinstance(each, Message):
            first, last = (int(str(each.parameters[end]).removeprefix("line ")) for end in ("first", "last"))
            assert last - first >= 2
            said.extend(range(first, last + 1))
        else:
            said.append(int(each.removeprefix("line ")))
    assert said == numbers
