"""Say in words what a JSON Schema would accept."""

from collections.abc import Callable, Mapping, Sequence
from typing import Any, Final, TypeAlias

import msgspec

Schema: TypeAlias = Mapping[str, Any]

_FORMATS: Final = {
    "date": "a date such as 2026-03-28",
    "date-time": "a date and time such as 2026-03-28T17:30:00Z",
    "time": "a time such as 17:30:00Z",
    "uuid": "a UUID",
    "uri": "a URI",
    "email": "an e-mail address",
}
_FIELDS_SHOWN = 40


def describe(schema: object, root: Schema) -> str:
    """Say what a schema accepts, in a phrase such as `a whole number from 1 to 12`.

    :param schema: a schema within `root`.
    :param root: the whole schema document, where references (`#/...`) lead.
    """
    if not isinstance(schema, Mapping):
        return "anything" if schema is True else "nothing"
    if "$ref" in schema:
        return describe(resolve(schema["$ref"], root), root)
    for keyword in ("anyOf", "oneOf"):
        if keyword in schema:
            return " or ".join(dict.fromkeys(describe(branch, root) for branch in schema[keyword]))
    if "const" in schema:
        return shown(schema["const"])
    if "enum" in schema:
        return _choice(schema["enum"])
    return _by_type(schema, root)


def resolve(reference: str, root: Schema) -> object:
    """Follow a reference within the document; `True`, which accepts anything, where it leads nowhere."""
    if reference not in {"", "#"} and not reference.startswith("#/"):
        return _anchored(reference.removeprefix("#"), root)
    place: Any = root
    for segment in reference.removeprefix("#").split("/")[1:]:
        name = segment.replace("~1", "/").replace("~0", "~")
        if not isinstance(place, Mapping) or name not in place:
            return True
        place = place[name]
    return place


def _anchored(name: str, part: object) -> object:
    if isinstance(part, Mapping):
        if part.get("$anchor") == name:
            return part
        parts = list(part.values())
    else:
        parts = part if isinstance(part, list) else []
    return next((found for each in parts if (found := _anchored(name, each)) is not True), True)


def shown(value: object, longest: int = 60) -> str:
    """Show a value as JSON, shortened."""
    try:
        text = msgspec.json.encode(value).decode()
    except (TypeError, ValueError, OverflowError):
        text = repr(value)
    return text if len(text) <= longest else f"{text[: longest - 1]}…"


def field_names(schema: object, root: Schema) -> str:
    """List the fields that an object schema knows."""
    if isinstance(schema, Mapping) and "$ref" in schema:
        return field_names(resolve(schema["$ref"], root), root)
    properties = list(schema.get("properties", ())) if isinstance(schema, Mapping) else []
    if not properties:
        return "no fields"
    more = ", …" if len(properties) > _FIELDS_SHOWN else ""
    return ("the field " if len(properties) == 1 else "the fields ") + (
        ", ".join(properties[:_FIELDS_SHOWN]) + more
    )


def _choice(values: Sequence[object]) -> str:
    words = ", ".join(value if isinstance(value, str) else shown(value) for value in values)
    return f"one of: {words}" if len(values) > 1 else words


def _by_type(schema: Schema, root: Schema) -> str:
    kinds = schema.get("type")
    if isinstance(kinds, list):
        return " or ".join(_by_type({**schema, "type": kind}, root) for kind in kinds)
    if not isinstance(kinds, str):
        return "another value"
    describer = _DESCRIBERS.get(kinds)
    return describer(schema, root) if describer else kinds


def _number(schema: Schema, _: Schema) -> str:
    noun = "a whole number" if schema["type"] == "integer" else "a number"
    low, above = schema.get("minimum"), schema.get("exclusiveMinimum")
    high, below = schema.get("maximum"), schema.get("exclusiveMaximum")
    if low is not None and high is not None:
        return f"{noun} from {low:g} to {high:g}"
    bounds = [
        phrase.format(bound)
        for phrase, bound in (
            ("of at least {:g}", low),
            ("greater than {:g}", above),
            ("of at most {:g}", high),
            ("less than {:g}", below),
        )
        if bound is not None
    ]
    return " ".join([noun, " and ".join(bounds)]).strip()


def _text(schema: Schema, _: Schema) -> str:
    if schema.get("format") in _FORMATS:
        return _FORMATS[schema["format"]]
    phrase = "text" + _span(schema.get("minLength"), schema.get("maxLength"), "character")
    if "pattern" in schema:
        # The look-ahead only keeps a trailing newline out; it would puzzle a reader.
        phrase += f" that matches {schema['pattern'].removesuffix(chr(92) + 'n)').removesuffix('(?!')}"
    return phrase


def _list(schema: Schema, root: Schema) -> str:
    phrase = "a list" + _span(schema.get("minItems"), schema.get("maxItems"), "item")
    items = schema.get("items")
    return f"{phrase}, each {describe(items, root)}" if items and items is not True else phrase


def _object(schema: Schema, root: Schema) -> str:
    if not schema.get("properties"):
        return "an object"
    return f"an object with {field_names(schema, root)}"


def _span(low: int | None, high: int | None, noun: str) -> str:
    if low is not None and high is not None:
        return f" of {low} {noun}{'' if low == 1 else 's'}" if low == high else f" of {low} to {high} {noun}s"
    if low is not None:
        return f" of at least {low} {noun}{'' if low == 1 else 's'}"
    return "" if high is None else f" of at most {high} {noun}{'' if high == 1 else 's'}"


_DESCRIBERS: Final[Mapping[str, Callable[[Schema, Schema], str]]] = {
    "integer": _number,
    "number": _number,
    "string": _text,
    "array": _list,
    "object": _object,
    "boolean": lambda _, __: "true or false",
    "null": lambda _, __: "null",
}
