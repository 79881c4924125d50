"""Settings to try an exercise with, chosen from its schema; always the same ones, and nothing drawn by lot.

Each setting goes through its bounds, its enum values and its lengths while the others stay as they are by default.
Then each two settings stand at their ends together.
"""

from collections.abc import Iterable, Iterator, Mapping
from itertools import combinations, product
from typing import Any, Final

import msgspec

from bagatelle.accepted import Schema, resolve
from bagatelle.model.exercise import Exercise
from bagatelle.wrong_fields import CheckedSchema

SETTINGS_LIMIT: Final = 600
"""Of one exercise, pairs are tried only until there are so many settings; each change by itself always is."""
ITEMS_LIMIT: Final = 200
"""A list that may be longer is tried with so many items."""
TEXT_LIMIT: Final = 10_000
"""More characters than anybody would read, and no text is tried with more."""
_DEPTH_LIMIT: Final = 6
_FILLERS: Final = ("Ab", "a", "1", "A1", "p1")
"""What a text may be where its schema has a pattern and gives no example."""
_NUMBERS: Final = frozenset({"integer", "number"})


def sampled_settings(exercise: Exercise, schema: CheckedSchema) -> tuple[dict[str, Any], ...]:
    """Return whole, legal settings of an exercise; the defaults come first."""
    defaults = dict(exercise.defaults)
    root = exercise.settings_schema
    choices = {
        name: _legal_values(name, part, defaults, schema)
        for name, part in root.get("properties", {}).items()
        if isinstance(part, Mapping)
    }
    found = {canonical(defaults): defaults}
    for changes in _single_changes(choices):
        settings = {**defaults, **changes}
        found.setdefault(canonical(settings), settings)
    for changes in _pairs_of_changes(choices):
        settings = {**defaults, **changes}
        if len(found) < SETTINGS_LIMIT and schema.accepts(settings):
            found.setdefault(canonical(settings), settings)
    return tuple(found.values())


def untried_settings(exercise: Exercise, tried: Iterable[Mapping[str, Any]]) -> list[str]:
    """Return which settings stood as by default in all that was tried, though other values were looked for."""
    settings = list(tried)
    root = exercise.settings_schema
    return [
        name
        for name, part in root.get("properties", {}).items()
        if any(value != exercise.defaults[name] for value in values_of(part, root))
        and all(each[name] == exercise.defaults[name] for each in settings)
    ]


def canonical(value: object) -> bytes:
    """Return a value as JSON with sorted names, to compare by."""
    return msgspec.json.encode(value, order="sorted")


def values_of(schema: object, root: Schema, depth: int = 0) -> list[Any]:
    """Return what a schema may accept at its bounds: some of it may be refused by other rules of it."""
    if not isinstance(schema, Mapping) or depth > _DEPTH_LIMIT:
        return []
    if "$ref" in schema:
        return values_of(resolve(schema["$ref"], root), root, depth + 1)
    given = [schema[name] for name in ("const", "default") if name in schema]
    given += [*schema.get("enum", ()), *schema.get("examples", ())]
    for keyword in ("anyOf", "oneOf", "allOf"):
        for branch in schema.get(keyword, ()):
            given += values_of(branch, root, depth + 1)
    if "enum" not in schema and "const" not in schema:
        for kind in _kinds(schema):
            given += _values_of_kind(kind, schema, root, depth)
    return given


def _legal_values(name: str, part: object, defaults: Mapping[str, Any], schema: CheckedSchema) -> list[Any]:
    found: dict[bytes, Any] = {}
    for value in values_of(part, schema.schema):
        if schema.accepts({**defaults, name: value}):
            found.setdefault(canonical(value), value)
    return list(found.values())


def _single_changes(choices: Mapping[str, list[Any]]) -> Iterator[dict[str, Any]]:
    for name, values in choices.items():
        yield from ({name: value} for value in values)


def _pairs_of_changes(choices: Mapping[str, list[Any]]) -> Iterator[dict[str, Any]]:
    for first, second in combinations(choices, 2):
        for one, other in product(_ends(choices[first]), _ends(choices[second])):
            yield {first: one, second: other}


def _ends(values: list[Any]) -> list[Any]:
    return values[:1] + values[-1:] if len(values) > 1 else values


def _kinds(schema: Schema) -> list[str]:
    kind = schema.get("type", ())
    return [kind] if isinstance(kind, str) else list(kind)


def _values_of_kind(kind: str, schema: Schema, root: Schema, depth: int) -> list[Any]:
    if kind in _NUMBERS:
        return _numbers(schema, whole=kind == "integer")
    if kind == "string":
        return _strings(schema)
    if kind == "array":
        return _arrays(schema, root, depth)
    if kind == "object":
        return _objects(schema, root, depth)
    return [False, True] if kind == "boolean" else [None] if kind == "null" else []


def _numbers(schema: Schema, *, whole: bool) -> list[Any]:
    step = schema.get("multipleOf", 1 if whole else 0.5)
    bounds = [schema[name] for name in ("minimum", "maximum") if name in schema]
    if "exclusiveMinimum" in schema:
        bounds.append(schema["exclusiveMinimum"] + step)
    if "exclusiveMaximum" in schema:
        bounds.append(schema["exclusiveMaximum"] - step)
    if len(bounds) == 2 and not whole:
        bounds.append((bounds[0] + bounds[1]) / 2)
    return [int(bound) if whole and float(bound).is_integer() else bound for bound in bounds]


def _strings(schema: Schema) -> list[str]:
    shortest, longest = (
        min(int(schema.get(name, otherwise)), TEXT_LIMIT)
        for name, otherwise in (("minLength", 0), ("maxLength", 20))
    )
    lengths = sorted({shortest, min(max(shortest, 1), longest), longest})
    fillers = _FILLERS if "pattern" in schema else _FILLERS[:1]
    return [(filler * length)[:length] for length in lengths for filler in fillers]


def _arrays(schema: Schema, root: Schema, depth: int) -> list[list[Any]]:
    least, most = (
        min(int(schema.get(name, otherwise)), ITEMS_LIMIT)
        for name, otherwise in (("minItems", 0), ("maxItems", ITEMS_LIMIT))
    )
    items = _distinct([*values_of(schema.get("items"), root, depth + 1), *_spread(schema.get("items"), most)])
    if not items:
        return [[]]
    # As few as may be, beginning with each item in turn; then as many as may be.
    few = [_round_from(items, start, max(least, 1)) for start in range(len(items))]
    short: list[list[Any]] = [] if least else [[]]
    long = _round_from(items, 0, most)
    return [*short, *few, items[:most], long, _with_ids_of_their_own(long)]


def _spread(schema: object, count: int) -> list[int]:
    """So many whole numbers from bound to bound, where a schema has both: a list may want them all different."""
    if not isinstance(schema, Mapping) or schema.get("type") != "integer":
        return []
    if not {"minimum", "maximum"} <= schema.keys():
        return []
    low, high = int(schema["minimum"]), int(schema["maximum"])
    return [low + (high - low) * position // max(count - 1, 1) for position in range(count)]


def _with_ids_of_their_own(items: list[Any]) -> list[Any]:
    """The same items, those that have an `id` told apart by it, as what is listed mostly must be."""
    return [
        {**item, "id": f"p{position}"} if isinstance(item, Mapping) and "id" in item else item
        for position, item in enumerate(items)
    ]


def _round_from(items: list[Any], start: int, count: int) -> list[Any]:
    return [items[(start + position) % len(items)] for position in range(count)]


def _objects(schema: Schema, root: Schema, depth: int) -> list[dict[str, Any]]:
    choices = {
        name: _distinct(values_of(part, root, depth + 1))
        for name, part in schema.get("properties", {}).items()
    }
    checked = _within(schema, root)
    firsts = {
        name: _first_legal(schema["properties"][name], values, root)
        for name, values in choices.items()
        if values
    }
    required = set(schema.get("required", ()))
    least = {name: value for name, value in firsts.items() if name in required}
    made = [least, firsts]
    made += [{**least, name: value} for name, values in choices.items() for value in values]
    return [each for each in _distinct(made) if checked.accepts(each)]


def _first_legal(schema: Schema, values: Iterable[Any], root: Schema) -> Any:
    checked = _within(schema, root)
    return next((value for value in values if checked.accepts(value)), None)


def _within(schema: Schema, root: Schema) -> CheckedSchema:
    """A part of a schema by itself, with what it may refer to."""
    return CheckedSchema({**schema, "$defs": root.get("$defs", {})})


def _distinct(values: Iterable[Any]) -> list[Any]:
    return list({canonical(value): value for value in values}.values())
