"""Which settings have no bounds: they could not be tried, and anybody could send the endless."""

from collections.abc import Iterator, Mapping
from typing import Any, Final

from bagatelle.accepted import Schema, resolve
from bagatelle.catalogue.faults import Fault
from bagatelle.kit.sampling import TEXT_LIMIT
from bagatelle.model.exercise import Exercise

_BOUNDS: Final[Mapping[str, tuple[tuple[str, ...], ...]]] = {
    "integer": (("minimum", "exclusiveMinimum"), ("maximum", "exclusiveMaximum")),
    "number": (("minimum", "exclusiveMinimum"), ("maximum", "exclusiveMaximum")),
    "string": (("maxLength",),),
    "array": (("maxItems",), ("items", "unevaluatedItems")),
    "object": (("additionalProperties", "unevaluatedProperties"),),
}
"""By type, what must be said: of each group, one."""
_LISTED_ITEMS: Final[tuple[tuple[str, ...], ...]] = (("prefixItems",),)
"""What must be said of a list that has no items but those."""
_DEPTH_LIMIT: Final = 6
_WAYS_LIMIT: Final = 100
"""So many ways to keep to a schema are looked at."""
_PLAIN_FIELDS: Final = "properties"


def schema_faults(exercise: Exercise) -> list[Fault]:
    """Say which settings have no bounds."""
    root = exercise.settings_schema
    reasons = [
        f"the setting {place} {reason}"
        for name, part in root.get("properties", {}).items()
        for place, reason in _unbounded(f"{name!r}", part, root, 0)
    ]
    if root.get("patternProperties"):
        reasons.append(
            "settings_schema has patternProperties, so settings have no end (accepted: properties)"
        )
    return [Fault(exercise.id, reason) for reason in dict.fromkeys(reasons)]


def _unbounded(place: str, schema: object, root: Schema, depth: int) -> Iterator[tuple[str, str]]:
    if depth > _DEPTH_LIMIT:
        yield place, "accepts anything, or refers to itself without end"
        return
    for way in _ways(schema, root, 0):
        if "enum" in way or "const" in way:
            continue
        yield from _unbounded_kinds(place, way)
        for name, part in _parts(way):
            yield from _unbounded(f"{place}, {name}", part, root, depth + 1)


def _unbounded_kinds(place: str, way: Schema) -> Iterator[tuple[str, str]]:
    kinds = _kinds(way)
    if not kinds:
        yield place, "has neither a type nor an enum, so it accepts anything"
    for kind in kinds:
        groups = _LISTED_ITEMS if kind == "array" and way.get("items") is False else _BOUNDS.get(kind, ())
        for names in groups:
            if not any(name in way for name in names):
                yield place, f"is of type {kind} and has no {names[0]}"
        if kind == "string" and way.get("maxLength", 0) > TEXT_LIMIT:
            yield place, f"has a maxLength of {way['maxLength']:.0f} (accepted: at most {TEXT_LIMIT})"
        if kind == "object" and _has_any_fields(way) and "maxProperties" not in way:
            yield place, "takes fields of any name and has no maxProperties"


def _parts(way: Schema) -> Iterator[tuple[str, object]]:
    """What is within a value, each with its name."""
    for keyword in ("items", "unevaluatedItems"):
        if keyword in way:
            yield "its items", way[keyword]
    for position, part in enumerate(way.get("prefixItems", ())):
        yield f"its item {position}", part
    for name, part in way.get("properties", {}).items():
        yield f"its field {name!r}", part
    others = [*way.get("patternProperties", {}).values()]
    others += [way[name] for name in ("additionalProperties", "unevaluatedProperties") if name in way]
    for part in others:
        yield "its other fields", part


def _has_any_fields(way: Schema) -> bool:
    others = [way.get(name, False) for name in ("additionalProperties", "unevaluatedProperties")]
    return bool(way.get("patternProperties")) or any(other is not False for other in others)


def _kinds(way: Schema) -> list[str]:
    kinds = way.get("type", ())
    return [kinds] if isinstance(kinds, str) else list(kinds)


def _ways(schema: object, root: Schema, depth: int) -> list[Schema]:
    """Return the ways to keep to a schema, each with all that holds then; none where nothing is accepted."""
    if schema is False:
        return []
    if not isinstance(schema, Mapping) or depth > _DEPTH_LIMIT:
        return [{}]
    ways: list[Schema] = [{name: part for name, part in schema.items() if name not in {"anyOf", "oneOf"}}]
    together = [*schema.get("allOf", ())]
    if "$ref" in schema:
        together.append(resolve(schema["$ref"], root))
    choices = [[part] for part in together]
    choices += [schema[keyword] for keyword in ("anyOf", "oneOf") if keyword in schema]
    for branches in choices:
        more = [way for branch in branches for way in _ways(branch, root, depth + 1)]
        ways = [_joined(one, other) for one in ways for other in more][:_WAYS_LIMIT]
    return ways


def _joined(one: Schema, other: Schema) -> Schema:
    joined: dict[str, Any] = {**other, **one}
    if _PLAIN_FIELDS in one and _PLAIN_FIELDS in other:
        joined[_PLAIN_FIELDS] = {
            name: {"allOf": [part, one[_PLAIN_FIELDS].get(name, True)]}
            for name, part in {**one[_PLAIN_FIELDS], **other[_PLAIN_FIELDS]}.items()
        }
    if "type" in one and "type" in other:
        joined["type"] = [kind for kind in _kinds(one) if kind in _kinds(other)] or _kinds(one)
    return joined
