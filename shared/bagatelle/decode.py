"""Decode requests strictly, and name every wrong field at once.

Strict means: unknown fields are refused; text is never taken for a number; `3.0` may stand for `3`, as JSON
Schema has it; NaN and Infinity are no JSON; a surrogate without its other half is refused; so is a name that
stands twice in one object, of which other decoders would silently take the last; and so is a number that
a double cannot hold (RFC 8259, section 6).
"""

import inspect
import json
import re
from collections.abc import Iterator
from functools import cache
from itertools import accumulate
from typing import Any, Final, TypeVar

import msgspec

from bagatelle.json_pointer import leaves, pointer_to
from bagatelle.model.errors import FieldError, InvalidInputError, MalformedJsonError
from bagatelle.model.forecast import ForecastRequest
from bagatelle.model.request import CompressionRequest
from bagatelle.wrong_fields import CheckedSchema, listed

T = TypeVar("T")

DEPTH_LIMIT: Final = 32
LARGEST_WHOLE_NUMBER: Final = 2**53 - 1
"""Beyond it, not every whole number has a double of its own."""

# The closing quote is optional, so that every quote begins a match and the scan stays linear.
_TEXT: Final = re.compile(rb'"[^"\\]*+(?:\\.[^"\\]*+)*+"?', re.DOTALL)
_NOT_IN_OUTLINE: Final = bytes(byte for byte in range(256) if byte not in b"[]{}:")
_NOT_MARKS: Final = _NOT_IN_OUTLINE.replace(b'"', b"")
_STEPS: Final = {ord("["): 1, ord("{"): 1, ord("]"): -1, ord("}"): -1}
_DIGITS_ALIKE: Final = bytes.maketrans(b"012345678E", b"999999999e")
_HALF_A_PAIR: Final = re.compile(rb'(?<!\\)(?:\\\\)*\\u[dD][89abAB][0-9a-fA-F]{2}"')
_BYTE: Final = re.compile(r" \(byte (\d+)\)$")
_PLACE: Final = re.compile(r"^(?P<reason>.*) - at `(?:key in )?\$(?P<path>[^`]*)`$", re.DOTALL)
_SEGMENT: Final = re.compile(r"\.([^.\[\]]+)|\[(\d+)\]")


def decode_request(body: bytes) -> CompressionRequest:
    """Decode the body of a compression.

    :raises InvalidInputError: with every wrong field.
    :raises MalformedJsonError: where the body is no JSON; says the line and the column.
    """
    return decode(body, CompressionRequest)


def decode_forecast_request(body: bytes) -> ForecastRequest:
    """Decode the body of a forecast.

    :raises InvalidInputError: with every wrong field.
    :raises MalformedJsonError: where the body is no JSON; says the line and the column.
    """
    return decode(body, ForecastRequest)


def decode(body: bytes, kind: type[T]) -> T:
    """Decode JSON into a type that msgspec knows.

    :raises InvalidInputError: with every wrong field.
    :raises MalformedJsonError: where the body is no JSON; says the line and the column.
    """
    outline = _outline(body)
    _check_depth(outline)
    value = _parse(body)
    errors = [*_repeated_names(body, outline, value), *_too_large_numbers(body, value)]
    if errors:
        raise InvalidInputError(listed((*errors, *checked_schema(kind).wrong_fields(value))))
    return typed(value, kind)


def typed(value: object, kind: type[T]) -> T:
    """Turn a value made of JSON's types into a type that msgspec knows.

    :raises InvalidInputError: with every wrong field.
    """
    try:
        return msgspec.convert(value, kind)
    except msgspec.ValidationError as error:
        # Where the schema finds nothing, or did not look so far, the decoder's own error must do.
        errors = checked_schema(kind).wrong_fields(value) or (_as_field_error(str(error)),)
        raise InvalidInputError(errors) from error


def request_schema(kind: Any) -> dict[str, Any]:
    """Return the JSON Schema 2020-12 of a type, with `$defs`: exactly what `decode` accepts, limits aside."""
    schema = _tidy(msgspec.json.schema(kind))
    if not isinstance(schema, dict):
        raise TypeError(f"the schema of {kind!r} is no object")
    return schema


def checked_schema(kind: Any) -> CheckedSchema:
    """Return the compiled JSON Schema of a type; made once for each type."""
    return _compiled(kind)


@cache
def _compiled(kind: Any) -> CheckedSchema:
    return CheckedSchema(request_schema(kind))


def _tidy(schema: Any) -> Any:
    """Take the indentation of the source out of the descriptions."""
    if isinstance(schema, dict):
        return {
            key: inspect.cleandoc(part) if key == "description" and isinstance(part, str) else _tidy(part)
            for key, part in schema.items()
        }
    return [_tidy(part) for part in schema] if isinstance(schema, list | tuple) else schema


# Before decoding ------------------------------------------------------------------------------------------


def _outline(body: bytes) -> bytes:
    """Return the brackets and colons that stand outside texts, in their order."""
    # One byte is found many times faster than two, and most bodies hold no backslash.
    if b"\\" in body and (b'\\"' in body or b"\\\\" in body):
        return _TEXT.sub(b"", body).translate(None, _NOT_IN_OUTLINE)
    # Every quote begins or ends a text. Most texts hold no mark and go at once, many times faster than by matching.
    marks = body.translate(None, _NOT_MARKS).replace(b'""', b"")
    return b"".join(marks.split(b'"')[::2])


def _check_depth(outline: bytes) -> None:
    brackets = outline.replace(b":", b"")
    depth = max(accumulate(map(_STEPS.__getitem__, brackets)), default=0)
    if depth > DEPTH_LIMIT:
        raise InvalidInputError(
            (
                FieldError(
                    pointer="",
                    message=f"lists and objects are nested {depth} deep",
                    accepted=f"at most {DEPTH_LIMIT} levels",
                ),
            )
        )


def _parse(body: bytes) -> Any:
    try:
        return _DECODER.decode(body)
    except UnicodeDecodeError as error:
        raise _malformed(body, str(error)) from None
    except msgspec.ValidationError as error:
        # Without a type to hold it against, only a whole number of thousands of digits can be wrong.
        raise InvalidInputError((_as_field_error(str(error)),)) from None
    except msgspec.DecodeError as error:
        raise _malformed(body, str(error)) from None


def _number(text: str) -> int | float:
    """Give a whole number as an int even where it was written `3.0`, so that both mean the same."""
    value = float(text)
    return int(value) if value.is_integer() and abs(value) <= LARGEST_WHOLE_NUMBER else value


_DECODER: Final = msgspec.json.Decoder(float_hook=_number)


def _malformed(body: bytes, reason: str) -> MalformedJsonError:
    """Say what is wrong and where; the standard library knows the place best, where it is as strict."""
    try:
        text = body.decode()
        json.loads(text, parse_int=str)
    except UnicodeDecodeError as error:
        return MalformedJsonError(f"The text is not UTF-8, at {_line_and_column(body, error.start)}.")
    except json.JSONDecodeError as error:
        if not body.strip():
            return MalformedJsonError("The body is empty. A JSON value would be accepted.")
        return MalformedJsonError(f"Not JSON: {error.msg}, at line {error.lineno}, column {error.colno}.")
    byte = _BYTE.search(reason)
    if byte:
        plain = reason[: byte.start()].removeprefix("JSON is malformed: ")
        return MalformedJsonError(f"Not JSON: {plain}, at {_line_and_column(body, int(byte[1]))}.")
    # The decoder says "truncated" of a surrogate that nothing follows within its text.
    half = _HALF_A_PAIR.search(body)
    at = _line_and_column(body, half.start() if half else len(body))
    return MalformedJsonError(f"Not JSON: a text ends with half of a surrogate pair, at {at}.")


def _line_and_column(body: bytes, offset: int) -> str:
    before = body[:offset]
    line_start = before.rfind(b"\n") + 1
    column = len(before[line_start:].decode(errors="replace")) + 1
    line = before.count(b"\n") + 1
    return f"line {line}, column {column}"


# What JSON's grammar allows and we do not -----------------------------------------------------------------


def _repeated_names(body: bytes, outline: bytes, value: object) -> list[FieldError]:
    # Outside texts a colon stands after each name and nowhere else; decoding keeps one of each name.
    if outline.count(b":") == _outline(msgspec.json.encode(value)).count(b":"):
        return []
    pairs = json.loads(body, object_pairs_hook=_Pairs)
    return [
        FieldError(pointer=pointer, message="the field is given more than once", accepted="each field once")
        for pointer in dict.fromkeys(_repetitions(pairs, ()))
    ]


class _Pairs(list[tuple[str, Any]]):
    """The members of an object, repetitions included."""


def _repetitions(value: object, path: tuple[str | int, ...]) -> Iterator[str]:
    if isinstance(value, _Pairs):
        names: set[str] = set()
        for name, part in value:
            if name in names:
                yield pointer_to((*path, name))
            names.add(name)
            yield from _repetitions(part, (*path, name))
    elif isinstance(value, list):
        for position, part in enumerate(value):
            yield from _repetitions(part, (*path, position))


def _too_large_numbers(body: bytes, value: object) -> list[FieldError]:
    # Digits within texts count too in the first look, which is the cheaper one.
    if not (_perhaps_too_large(body) and _perhaps_too_large(_TEXT.sub(b"", body))):
        return []
    return [
        FieldError(
            pointer=pointer,
            message="the number is beyond what a double holds exactly",
            accepted=f"whole numbers from -{LARGEST_WHOLE_NUMBER} to {LARGEST_WHOLE_NUMBER}, others finite",
        )
        for pointer in _too_large(value)
    ]


def _perhaps_too_large(text: bytes) -> bool:
    """Say whether the text holds what a number beyond a double must have: 16 digits, or an exponent."""
    alike = text.translate(_DIGITS_ALIKE)
    # As above: most texts hold no plus, and one byte is found faster than three.
    return b"9" * 16 in alike or b"e9" in alike or (b"+" in alike and b"e+9" in alike)


def _too_large(document: object) -> Iterator[str]:
    for path, value in leaves(document):
        if (isinstance(value, int) and abs(value) > LARGEST_WHOLE_NUMBER) or value in _INFINITE:
            yield pointer_to(path)


_INFINITE: Final = (float("inf"), float("-inf"))


def _as_field_error(message: str) -> FieldError:
    """Read the decoder's own error, for the case that the schema finds nothing wrong."""
    found = _PLACE.match(message)
    if not found:
        return FieldError(pointer="", message=message)
    segments = [int(position) if position else name for name, position in _SEGMENT.findall(found["path"])]
    return FieldError(pointer=pointer_to(segments), message=found["reason"])
