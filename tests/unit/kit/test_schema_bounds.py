"""A setting is bounded however its schema says so, and one that is not is found however it hides."""

from typing import Any

import pytest
from bagatelle.kit.schema_bounds import schema_faults
from bagatelle.wrong_fields import CheckedSchema
from msgspec.structs import replace

from tests.unit.catalogue.sample_plugins import HUM

BPM = {"type": "integer", "minimum": 40, "maximum": 160}


def reasons(part: dict[str, Any], **more: Any) -> list[str]:
    schema = {"type": "object", "properties": {"bpm": part}, "additionalProperties": False, **more}
    CheckedSchema(schema)
    return [fault.reason for fault in schema_faults(replace(HUM, settings_schema=schema))]


@pytest.mark.parametrize(
    "part",
    [
        BPM,
        {"allOf": [{"type": "integer"}, {"minimum": 40}, {"maximum": 160}]},
        BPM | {"anyOf": [{"multipleOf": 5}, {"multipleOf": 4}]},
        {"$ref": "#/$defs/least", "maximum": 160},
        {"$ref": "#bpm"},
        {"type": "number", "oneOf": [{"minimum": 1, "maximum": 2}, {"const": 7}]},
        {"type": ["integer", "null"], "minimum": 1, "maximum": 2},
        {"type": "array", "prefixItems": [BPM, {"enum": ["a"]}], "items": False},
        {"type": "array", "items": BPM, "maxItems": 4.0},
        {"type": "string", "maxLength": 80.0},
        {"type": "object", "properties": {"id": BPM}, "additionalProperties": False},
        {"type": "object", "properties": {"id": BPM}, "unevaluatedProperties": False},
        {"type": "object", "additionalProperties": BPM, "maxProperties": 3},
        {"anyOf": [{"const": "own"}, BPM]},
    ],
)
def test_a_bounded_one(part: dict[str, Any]) -> None:
    definitions = {"least": {"type": "integer", "minimum": 40}, "whole": BPM | {"$anchor": "bpm"}}
    assert reasons(part, **{"$defs": definitions}) == []


@pytest.mark.parametrize(
    ("part", "words"),
    [
        ({}, "has neither a type nor an enum"),
        ({"allOf": [{"type": "integer"}, {"minimum": 40}]}, "is of type integer and has no maximum"),
        ({"anyOf": [BPM, {"type": "integer", "minimum": 1}]}, "has no maximum"),
        ({"$ref": "#/$defs/least"}, "has no maximum"),
        ({"$ref": "#/$defs/itself"}, "refers to itself without end"),
        ({"type": "array", "prefixItems": [BPM], "maxItems": 3}, "has no items"),
        (
            {"type": "array", "prefixItems": [{"type": "string"}], "items": False},
            "its item 0 is of type string",
        ),
        ({"type": "string", "maxLength": 10**9}, "has a maxLength of 1000000000 (accepted: at most 10000)"),
        ({"type": "object", "additionalProperties": BPM}, "and has no maxProperties"),
        (
            {"type": "object", "additionalProperties": True, "maxProperties": 2},
            "its other fields has neither",
        ),
        (
            {"type": "object", "patternProperties": {"^x": BPM}, "additionalProperties": False},
            "takes fields of any name and has no maxProperties",
        ),
    ],
)
def test_an_unbounded_one(part: dict[str, Any], words: str) -> None:
    itself = {"type": "array", "maxItems": 2, "items": {"$ref": "#/$defs/itself"}}
    definitions = {"least": {"type": "integer", "minimum": 40}, "itself": itself}
    (reason,) = reasons(part, **{"$defs": definitions})
    assert reason.startswith("the setting 'bpm'")
    assert words in reason


def test_settings_of_any_name() -> None:
    (reason,) = reasons(BPM, patternProperties={"^x": BPM})
    assert reason == "settings_schema has patternProperties, so settings have no end (accepted: properties)"
