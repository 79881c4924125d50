"""Hypothesis strategies for the part of JSON Schema that the catalogue uses."""

from collections.abc import Callable, Mapping
from typing import Any

from hypothesis import strategies as st

LETTERS = st.characters(codec="utf-8", categories=("L", "N", "P", "Zs"))


def _array(schema: Mapping[str, Any]) -> st.SearchStrategy[Any]:
    items = from_schema(schema["items"])
    return st.lists(items, min_size=schema["minItems"], max_size=min(schema["maxItems"], 12), unique_by=repr)


def _object(schema: Mapping[str, Any]) -> st.SearchStrategy[Any]:
    required = set(schema.get("required", schema["properties"]))
    values = {name: from_schema(each) for name, each in schema["properties"].items()}
    return st.fixed_dictionaries(
        {name: value for name, value in values.items() if name in required},
        optional={name: value for name, value in values.items() if name not in required},
    )


def _string(schema: Mapping[str, Any]) -> st.SearchStrategy[Any]:
    if "pattern" in schema:
        return st.from_regex(schema["pattern"].replace("$", r"\Z"))
    return st.text(LETTERS, min_size=schema["minLength"], max_size=schema["maxLength"])


def from_schema(schema: Mapping[str, Any]) -> st.SearchStrategy[Any]:
    """Return a strategy for legal values."""
    if "enum" in schema:
        return st.sampled_from(schema["enum"])
    kinds: dict[str, Callable[[Mapping[str, Any]], st.SearchStrategy[Any]]] = {
        "array": _array,
        "object": _object,
        "string": _string,
        "integer": lambda s: st.integers(s["minimum"], s["maximum"]),
        # Eighths are exact in binary, so that a fraction of a bar means the same in the formula.
        "number": lambda s: st.integers(int(s["minimum"] * 8), int(s["maximum"] * 8)).map(lambda n: n / 8),
    }
    return kinds[schema["type"]](schema)
