"""Whatever number or word of an answer is changed, the verifier comes to a verdict."""

from typing import Any

import msgspec
from bagatelle.model.plan import CompressionAnswer
from bagatelle.verify import Verdict, verify_answer
from hypothesis import given, reject, settings
from hypothesis import strategies as st

from tests.unit.verify.real_answers import DAYS, real_answer

REPLACEMENTS: st.SearchStrategy[Any] = (
    st.integers(-(10**18), 10**18)
    | st.integers(0, 5)
    | st.sampled_from(("", "octaves", "usual", "unit", "p0", "high", "never", "always", "rest"))
    | st.booleans()
    | st.floats(allow_nan=False, allow_infinity=False)
    | st.none()
    | st.just([])
)


def _places(value: Any, path: tuple[str | int, ...] = ()) -> list[tuple[str | int, ...]]:
    inside = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    return [path, *(place for key, below in inside for place in _places(below, (*path, key)))]


def _changed(day: str, place: tuple[str | int, ...], replacement: Any) -> CompressionAnswer:
    content: Any = msgspec.json.decode(msgspec.json.encode(real_answer(day)))
    parent = content
    for token in place[:-1]:
        parent = parent[token]
    parent[place[-1]] = replacement
    try:
        return msgspec.convert(content, CompressionAnswer)
    except msgspec.ValidationError:
        reject()


@given(st.data())
@settings(max_examples=60, deadline=None)
def test_any_change_comes_to_a_verdict(data: st.DataObject) -> None:
    day = data.draw(st.sampled_from(tuple(DAYS)))
    content = msgspec.json.decode(msgspec.json.encode(real_answer(day)))
    place = data.draw(st.sampled_from(_places(content)[2:]))
    answer = _changed(day, place, data.draw(REPLACEMENTS))
    assert isinstance(verify_answer(answer, optimum=data.draw(st.booleans())), Verdict)
