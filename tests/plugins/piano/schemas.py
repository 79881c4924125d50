"""Hypothesis strategies for the part of JSON Schema that the piano's settings use."""

from collections.abc import Mapping
from typing import Any

from hypothesis import strategies as st

Schema = Mapping[str, Any]


def legal(schema: Schema) -> st.SearchStrategy[Any]:
    """Values that a schema accepts."""
    if "enum" in schema:
        return st.sampled_from(schema["enum"])
    if schema["type"] == ["integer", "null"]:
        return st.none() | st.integers(schema["minimum"], schema["maximum"])
    return {"array": _array, "object": _object, "string": _string, "integer": _integer, "number": _number}[
        schema["type"]
    ](schema)


def _array(schema: Schema) -> st.SearchStrategy[Any]:
    unique = repr if schema.get("uniqueItems") else None
    # Sixty passages would only repeat what eight show.
    most = schema["maxItems"] if unique else min(schema["maxItems"], 8)
    return st.lists(legal(schema["items"]), min_size=schema["minItems"], max_size=most, unique_by=unique)


def _object(schema: Schema) -> st.SearchStrategy[Any]:
    required = set(schema.get("required", ()))
    values = {name: legal(each) for name, each in schema["properties"].items()}
    return st.fixed_dictionaries(
        {name: value for name, value in values.items() if name in required},
        optional={name: value for name, value in values.items() if name not in required},
    )


def _string(schema: Schema) -> st.SearchStrategy[Any]:
    if "pattern" in schema and schema["pattern"].startswith("^[A-Za-z0-9]"):
        return st.text("abZ09._:-", max_size=schema["maxLength"] - 1).map(lambda rest: f"p{rest}")
    letters = st.characters(codec="utf-8", categories=("L", "N"))
    return st.text(letters, min_size=schema.get("minLength", 0), max_size=schema["maxLength"])


def _integer(schema: Schema) -> st.SearchStrategy[Any]:
    return st.integers(schema["minimum"], schema["maximum"])


def _number(schema: Schema) -> st.SearchStrategy[Any]:
    # JSON writes 2.5 exactly; quarters keep the expected value exact too.
    return st.integers(int(schema["minimum"] * 4), int(schema["maximum"] * 4)).map(
        lambda quarters: quarters / 4
    )
