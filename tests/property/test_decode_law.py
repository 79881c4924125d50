"""A right request with wrong fields planted in it is refused with exactly those fields, whatever they are."""

import copy
import json
from typing import Any

import pytest
from bagatelle.decode import checked_schema, decode_request
from bagatelle.json_pointer import pointer_to
from bagatelle.model.errors import InvalidInputError
from bagatelle.model.request import CompressionRequest
from bagatelle.model.vocabulary import AREAS
from hypothesis import given
from hypothesis import strategies as st

Path = tuple[str | int, ...]

NAMES = st.text("abcdefghijklmnop0123456789_.:-", min_size=1, max_size=12).map(lambda text: f"x{text}")
JSON = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-(2**53) + 1, 2**53 - 1)
    | st.floats(-1e9, 1e9)
    | st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner, max_size=3),
    max_leaves=6,
)
DATES = st.dates().filter(lambda day: day.year >= 1000).map(str)


def fields(required: dict[str, Any], optional: dict[str, Any]) -> st.SearchStrategy[dict[str, Any]]:
    return st.fixed_dictionaries(required, optional=optional)


PASSAGES = fields(
    {"id": NAMES, "label": st.text(min_size=1, max_size=20)},
    {"bars": st.integers(1, 64), "bpm": st.floats(20, 400), "passes": st.integers(1, 9)},
)
TASKS = fields(
    {"title": st.text(min_size=1, max_size=20)},
    {
        "id": NAMES,
        "settings": st.dictionaries(st.text(max_size=8), JSON, max_size=3),
        "area": st.sampled_from(AREAS),
        "minutes": st.floats(0.5, 600),
        "due": DATES,
        "cadence_days": st.integers(1, 365),
        "passages": st.lists(PASSAGES, max_size=2),
        "needs_instrument": st.booleans(),
    },
)
BLOCKS = fields(
    {"title": st.text(min_size=1, max_size=20)},
    {"minutes": st.integers(1, 600), "tasks": st.lists(TASKS, max_size=3)},
)
REQUESTS = fields(
    {"routine": fields({"blocks": st.lists(BLOCKS, min_size=1, max_size=3)}, {})},
    {
        "date": DATES,
        "locale": st.sampled_from(["en", "en-GB", "de-AT"]),
        "circumstances": fields({}, {"quiet": st.booleans(), "energy": st.sampled_from(["usual", "low"])}),
        "history": st.lists(
            fields({"task": NAMES, "date": DATES}, {"seconds": st.integers(0, 9)}), max_size=2
        ),
        "strict": st.booleans(),
    },
)

WRONG_FOR: dict[str, list[Any]] = {
    "title": ["", 3, [], "x" * 201],
    "label": ["", None, {}],
    "id": ["", "-x", "x y", 7, "x\n"],
    "task": ["", "x y", None],
    "minutes": [0, 601, "5", True, []],
    "bars": [0, -1, "all"],
    "bpm": [19, 401, "fast"],
    "passes": [0, 101, 1.5, "2"],
    "area": ["scales", 1, ""],
    "due": ["2026-02-30", "tomorrow", 20260301],
    "date": ["2026-13-01", "", 1],
    "cadence_days": [0, 366, 2.5, "2"],
    "needs_instrument": [0, "yes"],
    "settings": [None, [], "bpm"],
    "passages": [{}, None, "p1"],
    "tasks": [{}, None, 4],
    "locale": ["english", "EN", ""],
    "quiet": [1, "no"],
    "energy": ["high", None],
    "seconds": [-1, 86401, 0.5],
    "strict": [0, None],
}
"""Values that break a field of this name wherever it stands in these requests."""


def objects(value: Any, path: Path = ()) -> list[Path]:
    """Return where the structures of a request stand; what is inside settings is free."""
    if isinstance(value, list):
        return [found for place, item in enumerate(value) for found in objects(item, (*path, place))]
    if not isinstance(value, dict):
        return []
    inner = [objects(part, (*path, name)) for name, part in value.items() if name != "settings"]
    return [path, *(found for paths in inner for found in paths)]


def at(value: Any, path: Path) -> Any:
    for segment in path:
        value = value[segment]
    return value


def faults_of(draw: st.DrawFn, structure: dict[str, Any]) -> tuple[str, Any] | None:
    """Choose one fault for a structure: the name of a field and a wrong value, or no value at all."""
    kinds = ["unknown"]
    # Only leaves are broken, so that no planted fault hides another one below it.
    broken = sorted(name for name in structure if name in WRONG_FOR and name not in {"tasks", "passages"})
    kinds += ["wrong"] * bool(broken)
    kinds += ["missing"] * ("title" in structure and "blocks" not in structure and "id" not in structure)
    kind = draw(st.sampled_from(kinds))
    if kind == "unknown":
        name = draw(st.text(max_size=6).map(lambda text: f"?{text}"))
        return name, draw(JSON)
    if kind == "missing":
        return None
    name = draw(st.sampled_from(broken))
    return name, draw(st.sampled_from(WRONG_FOR[name]))


@st.composite
def planted(draw: st.DrawFn) -> tuple[dict[str, Any], set[str]]:
    """Draw a right request, and plant at most one fault in each of some of its structures."""
    request = copy.deepcopy(draw(REQUESTS))
    places = draw(st.lists(st.sampled_from(objects(request)), min_size=1, max_size=6, unique=True))
    pointers = set()
    for place in places:
        structure = at(request, place)
        is_block = len(place) == 3 and place[:2] == ("routine", "blocks")
        fault = faults_of(draw, structure)
        if fault is None and is_block:
            del structure["title"]
            pointers.add(pointer_to((*place, "title")))
        elif fault is not None:
            structure[fault[0]] = fault[1]
            pointers.add(pointer_to((*place, fault[0])))
    return request, pointers


def reported(request: Any) -> list[str]:
    with pytest.raises(InvalidInputError) as caught:
        decode_request(json.dumps(request).encode())
    return [error.pointer for error in caught.value.errors]


@given(REQUESTS)
def test_a_right_request_is_taken(request: dict[str, Any]) -> None:
    decoded = decode_request(json.dumps(request).encode())
    assert [block.title for block in decoded.routine.blocks] == [
        block["title"] for block in request["routine"]["blocks"]
    ]


@given(planted())
def test_exactly_the_planted_faults_are_reported(case: tuple[dict[str, Any], set[str]]) -> None:
    request, pointers = case
    if not pointers:
        decode_request(json.dumps(request).encode())
        return
    found = reported(request)
    assert set(found) == pointers
    assert found == sorted(found)


@given(planted(), st.randoms(use_true_random=False))
def test_the_order_of_fields_changes_no_report(case: tuple[dict[str, Any], set[str]], random: Any) -> None:
    request, pointers = case

    def shuffled(value: Any) -> Any:
        if isinstance(value, dict):
            names = list(value)
            random.shuffle(names)
            return {name: shuffled(value[name]) for name in names}
        return [shuffled(item) for item in value] if isinstance(value, list) else value

    if pointers:
        assert reported(shuffled(request)) == reported(request)


@given(REQUESTS, st.data())
def test_decoder_and_schema_agree_on_what_is_right(request: dict[str, Any], data: st.DataObject) -> None:
    """Two libraries that know nothing of each other: msgspec decodes, jsonschema-rs validates."""
    place = data.draw(st.sampled_from(objects(request)))
    structure = at(request, place)
    if structure and data.draw(st.booleans()):
        structure[data.draw(st.sampled_from(sorted(structure)))] = data.draw(JSON)
    try:
        decode_request(json.dumps(request).encode())
        taken = True
    except InvalidInputError:
        taken = False
    # As JSON Schema has it, 3.0 is an integer; the decoder has made an int of it before.
    assert taken == checked_schema(CompressionRequest).accepts(request)


@given(JSON.filter(lambda value: not isinstance(value, dict)))
def test_what_is_no_object_is_wrong_as_a_whole(value: Any) -> None:
    assert reported(value) == [""]
