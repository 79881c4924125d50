"""Settings of an exercise: legal ones at random, and those at the bounds of each."""

from collections.abc import Iterator, Mapping
from typing import Any

from hypothesis import strategies as st

Schema = Mapping[str, Any]


def legal(schema: Schema) -> st.SearchStrategy[Any]:
    """Values that the schema of a setting accepts."""
    if "enum" in schema:
        return st.sampled_from(schema["enum"])
    if schema["type"] == "array":
        return st.lists(
            legal(schema["items"]), min_size=schema["minItems"], max_size=schema["maxItems"], unique=True
        )
    if schema["type"] == "string":
        letters = st.characters(codec="utf-8", categories=("L", "N"))
        return st.text(letters, min_size=max(schema.get("minLength", 1), 1), max_size=schema["maxLength"])
    return st.integers(schema["minimum"], schema["maximum"])


def all_legal(schema: Schema) -> st.SearchStrategy[dict[str, Any]]:
    """All settings of an exercise together."""
    return st.fixed_dictionaries({name: legal(each) for name, each in schema["properties"].items()})


def at_bounds(schema: Schema, defaults: Mapping[str, Any]) -> Iterator[dict[str, Any]]:
    """The defaults, the defaults with each setting at each of its bounds, and everything at one of them."""
    bounds = {name: _bounds(each) for name, each in schema["properties"].items()}
    yield dict(defaults)
    for name, values in bounds.items():
        yield from ({**defaults, name: value} for value in values)
    for which in (0, -1):
        yield {name: values[which] for name, values in bounds.items()}


def _bounds(schema: Schema) -> list[Any]:
    if "enum" in schema:
        return [schema["enum"][0], schema["enum"][-1]]
    if schema["type"] == "array":
        items = schema["items"]
        if "enum" in items:
            return [items["enum"][:1], items["enum"][-1:], items["enum"][: schema["maxItems"]]]
        return [[items["minimum"]], [items["maximum"]]]
    if schema["type"] == "string":
        return ["x", "x" * schema["maxLength"]]
    return [schema["minimum"], schema["maximum"]]
