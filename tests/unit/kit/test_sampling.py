"""Settings are tried at each bound and with each value, all of them legal, and always the same ones."""

import sys
from collections.abc import Mapping
from typing import Any

import jsonschema_rs
import pytest
from bagatelle.catalogue import load_instruments
from bagatelle.contract import Exercise
from bagatelle.kit.sampling import SETTINGS_LIMIT, canonical, sampled_settings, values_of
from bagatelle.wrong_fields import CheckedSchema
from msgspec.structs import replace

from tests.other_process import lines_of_another_process
from tests.unit.catalogue.sample_plugins import HUM

EXERCISES = load_instruments().exercises


def samples(exercise: Exercise) -> tuple[dict[str, Any], ...]:
    return sampled_settings(exercise, CheckedSchema(exercise.settings_schema))


def with_settings(defaults: Mapping[str, Any], **properties: Any) -> Exercise:
    schema = {"type": "object", "properties": properties, "additionalProperties": False}
    return replace(HUM, settings_schema=schema, defaults=defaults)


@pytest.mark.parametrize("exercise", EXERCISES, ids=lambda each: each.id)
def test_they_are_legal_and_different_and_the_defaults_come_first(exercise: Exercise) -> None:
    found = samples(exercise)
    validator = jsonschema_rs.Draft202012Validator(dict(exercise.settings_schema))
    assert all(validator.is_valid(settings) for settings in found)
    assert found[0] == exercise.defaults
    assert len({canonical(settings) for settings in found}) == len(found) <= SETTINGS_LIMIT


@pytest.mark.parametrize("exercise", EXERCISES, ids=lambda each: each.id)
def test_each_bound_and_each_value_of_each_setting_is_tried(exercise: Exercise) -> None:
    found = samples(exercise)
    for name, schema in exercise.settings_schema["properties"].items():
        tried = [settings[name] for settings in found]
        wanted = [
            *schema.get("enum", ()),
            *(schema[bound] for bound in ("minimum", "maximum") if bound in schema),
        ]
        assert [value for value in wanted if value not in tried] == []
        if schema.get("type") == "array":
            items = schema["items"].get("enum", [])
            assert [item for item in items if not any(item in value for value in tried)] == []
            lengths = {len(value) for value in tried}
            assert schema["minItems"] in lengths
            most = len(items) if items and schema.get("uniqueItems") else schema["maxItems"]
            assert min(schema["maxItems"], most) in lengths


def test_pairs_stand_at_their_ends_together() -> None:
    bounds = {"type": "integer", "minimum": 1, "maximum": 9}
    found = samples(with_settings({"a": 5, "b": 5, "c": 5}, a=bounds, b=bounds, c=bounds))
    for first, second in (("a", "b"), ("a", "c"), ("b", "c")):
        pairs = {(settings[first], settings[second]) for settings in found}
        assert pairs >= {(1, 1), (1, 9), (9, 1), (9, 9)}


def test_many_values_of_one_setting_leave_the_others_their_turn() -> None:
    pieces = [f"piece {number}" for number in range(2 * SETTINGS_LIMIT)]
    bounds = {"type": "integer", "minimum": 1, "maximum": 9}
    found = samples(with_settings({"piece": pieces[0], "a": 5}, piece={"enum": pieces}, a=bounds))
    assert {settings["piece"] for settings in found} == set(pieces)
    assert {settings["a"] for settings in found} == {1, 5, 9}


@pytest.mark.parametrize(
    ("schema", "wanted"),
    [
        ({"type": "boolean"}, [False, True]),
        ({"type": ["integer", "null"], "minimum": 2, "maximum": 3}, [2, 3, None]),
        ({"type": "integer", "exclusiveMinimum": 2, "exclusiveMaximum": 8, "multipleOf": 2}, [4, 6]),
        ({"type": "number", "minimum": 1, "maximum": 2}, [1, 2, 1.5]),
        ({"const": "C"}, ["C"]),
        ({"anyOf": [{"const": "own"}, {"type": "integer", "minimum": 40, "maximum": 41}]}, ["own", 40, 41]),
        ({"$ref": "#/$defs/hand"}, ["left", "right"]),
        ({"type": "string", "minLength": 1, "maxLength": 3}, ["A", "AbA"]),
        ({"type": "string", "pattern": "^[0-9]{2}$", "maxLength": 2}, ["11"]),
        ({"type": "array", "items": {"enum": [1, 2]}, "maxItems": 3}, [[], [1], [2], [1, 2, 1]]),
        (
            {
                "type": "object",
                "properties": {
                    "id": {"enum": ["x"]},
                    "bars": {"type": "integer", "minimum": 1, "maximum": 8},
                },
                "required": ["id"],
                "additionalProperties": False,
            },
            [{"id": "x"}, {"id": "x", "bars": 1}, {"id": "x", "bars": 8}],
        ),
        (True, []),
    ],
)
def test_values_of_each_kind(schema: Any, wanted: list[Any]) -> None:
    root = {"properties": {"it": schema}, "$defs": {"hand": {"enum": ["left", "right"]}}}
    checked = jsonschema_rs.Draft202012Validator({"$ref": "#/properties/it", **root})
    legal = {canonical(value) for value in values_of(schema, root) if checked.is_valid(value)}
    assert legal >= {canonical(value) for value in wanted}


def test_a_schema_that_refers_to_itself_comes_to_an_end() -> None:
    passage = {"type": "array", "items": {"$ref": "#/properties/nested"}, "maxItems": 2}
    assert samples(with_settings({"nested": []}, nested=passage))


def test_another_process_tries_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    program = (
        "from tests.unit.kit.test_sampling import EXERCISES, samples, canonical\n"
        "for exercise in EXERCISES: print(canonical(samples(exercise)).decode())"
    )
    monkeypatch.setenv("PYTHONPATH", ":".join(path for path in sys.path if path))
    there = lines_of_another_process(program, [], hash_seed=7)
    assert there == [canonical(samples(exercise)) for exercise in EXERCISES]
