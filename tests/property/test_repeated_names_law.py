"""A name that stands twice in one object is found wherever it stands, and no text is ever taken for a name.

Texts here hold quotes, backslashes, colons and brackets on purpose: what JSON is made of.
"""

import json
from typing import Any

import pytest
from bagatelle.decode import decode
from bagatelle.json_pointer import pointer_to
from bagatelle.model.errors import InvalidInputError
from hypothesis import given
from hypothesis import strategies as st

TEXTS = st.text('"\\:[]{}, ae9é\n', max_size=6)
VALUES = st.recursive(
    st.none() | st.booleans() | st.integers(-999, 999) | TEXTS,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(TEXTS, inner, max_size=3),
    max_leaves=12,
)
OBJECTS = st.dictionaries(TEXTS, VALUES, min_size=1, max_size=4)


def body_of(value: object, *, escaped: bool, indent: int | None) -> str:
    return json.dumps(value, ensure_ascii=escaped, indent=indent)


@given(OBJECTS, st.booleans(), st.sampled_from((None, 1)))
def test_objects_without_one_pass(value: dict[str, Any], escaped: bool, indent: int | None) -> None:
    assert decode(body_of(value, escaped=escaped, indent=indent).encode(), dict) == value


@given(OBJECTS, st.lists(TEXTS, max_size=3), VALUES, st.booleans(), st.data())
def test_a_planted_one_is_named(
    value: dict[str, Any], around: list[str], other: object, escaped: bool, data: st.DataObject
) -> None:
    name = data.draw(st.sampled_from(sorted(value)))
    text = body_of(value, escaped=escaped, indent=None)
    again = body_of({name: other}, escaped=escaped, indent=None)
    text = f"{text[:-1]}, {again[1:]}"
    for each in around:
        text = f"{{{json.dumps(each, ensure_ascii=escaped)}: {text}}}"
    with pytest.raises(InvalidInputError) as caught:
        decode(text.encode(), dict)
    pointers = [error.pointer for error in caught.value.errors]
    assert pointers == [pointer_to([*reversed(around), name])]
