"""Requests are decoded strictly, and every wrong field is named with its pointer and what would do."""

import json
import time
from datetime import date
from typing import Annotated, Any

import msgspec
import pytest
from bagatelle.decode import DEPTH_LIMIT, decode, decode_request, request_schema, typed
from bagatelle.json_pointer import pointer_to
from bagatelle.model.errors import FieldError, InvalidInputError, MalformedJsonError
from bagatelle.model.request import BLOCKS_LIMIT, CompressionRequest
from bagatelle.model.vocabulary import AREAS
from bagatelle.wrong_fields import VALUES_LIMIT, WRONG_FIELDS_LIMIT, CheckedSchema

RIGHT: dict[str, Any] = {
    "instrument": "kazoo",
    "date": "2026-03-28",
    "routine": {
        "blocks": [
            {
                "title": "Buzzing",
                "area": "tone",
                "minutes": 12,
                "tasks": [{"exercise": "kazoo.hum", "settings": {"bpm": 60}, "cadence_days": 2}],
            }
        ]
    },
    "circumstances": {"windows": [{"minutes": 8, "starts_at": "07:10"}]},
    "history": [{"task": "hum", "date": "2026-03-25", "seconds": 300, "units": ["C"]}],
}


def errors_of(body: bytes | Any, type: Any = CompressionRequest) -> dict[str, FieldError]:  # noqa: A002
    given = body if isinstance(body, bytes) else json.dumps(body).encode()
    with pytest.raises(InvalidInputError) as caught:
        decode(given, type)
    errors = {error.pointer: error for error in caught.value.errors}
    assert len(errors) == len(caught.value.errors)
    return errors


def with_settings(settings: str) -> bytes:
    return b'{"routine":{"blocks":[{"title":"a","tasks":[{"settings":%s}]}]}}' % settings.encode()


def settings_of(settings: str) -> Any:
    return decode_request(with_settings(settings)).routine.blocks[0].tasks[0].settings


def test_a_right_request_is_what_msgspec_makes_of_it() -> None:
    body = json.dumps(RIGHT).encode()
    request = decode_request(body)
    assert request == msgspec.json.decode(body, type=CompressionRequest)
    assert request.date == date(2026, 3, 28)


# Every wrong field ----------------------------------------------------------------------------------------


def test_every_wrong_field_is_named_at_once() -> None:
    wrong = {
        "routine": {
            "blocks": [
                {"title": "", "minutes": "3", "colour": "red"},
                {"minutes": 0.1, "area": "scales", "tasks": [{"cadence_days": 999, "due": "2026-02-30"}]},
            ],
            "a/b~c": 1,
        },
        "locale": "english",
        "strict": 1,
    }
    errors = errors_of(wrong)
    assert [(pointer, error.message, error.accepted) for pointer, error in errors.items()] == [
        ("/locale", "7 characters are too many", errors["/locale"].accepted),
        ("/routine/a~1b~0c", 'the field "a/b~c" is unknown', "the fields title, blocks"),
        (
            "/routine/blocks/0/colour",
            'the field "colour" is unknown',
            "the fields id, title, area, minutes, tasks",
        ),
        ("/routine/blocks/0/minutes", '"3" is of the wrong type', "a number from 0.5 to 600 or null"),
        ("/routine/blocks/0/title", '"" is too short', "text of 1 to 200 characters"),
        (
            "/routine/blocks/1/area",
            '"scales" is not among the values accepted',
            f"one of: {', '.join(sorted(AREAS))} or null",
        ),
        ("/routine/blocks/1/minutes", "0.1 is too small", "a number from 0.5 to 600 or null"),
        (
            "/routine/blocks/1/tasks/0/cadence_days",
            "999 is too large",
            "a whole number from 1 to 365 or null",
        ),
        (
            "/routine/blocks/1/tasks/0/due",
            '"2026-02-30" does not have the form accepted',
            "a date such as 2026-03-28 or null",
        ),
        ("/routine/blocks/1/title", "the field is missing", "text of 1 to 200 characters"),
        ("/strict", "1 is of the wrong type", "true or false"),
    ]


@pytest.mark.parametrize("body", ["null", "[]", "3", '"routine"', "true"])
def test_a_body_that_is_no_object(body: str) -> None:
    errors = errors_of(body.encode())
    assert list(errors) == [""]
    assert errors[""].accepted.startswith("an object with the fields routine, instrument, ")


def test_too_many_and_too_few_items_say_how_many() -> None:
    many = {"routine": {"blocks": [{"title": "a"}] * (BLOCKS_LIMIT + 1)}}
    error = errors_of(many)["/routine/blocks"]
    assert error.message == "41 are too many"
    assert error.accepted.startswith("a list of 1 to 40 items, each an object with the fields id, ")
    assert errors_of({"routine": {"blocks": []}})["/routine/blocks"].message == "0 are too few"


@pytest.mark.parametrize("minutes", ["NaN", "Infinity", "-Infinity"])
def test_what_is_no_number_of_json(minutes: str) -> None:
    with pytest.raises(MalformedJsonError, match="Not JSON"):
        decode_request(b'{"routine":{"blocks":[{"title":"a","minutes":%s}]}}' % minutes.encode())


@pytest.mark.parametrize(
    "field",
    [
        {"cadence_days": "2"},
        {"cadence_days": True},
        {"cadence_days": 2.5},
        {"minutes": "15"},
        {"minutes": True},
        {"needs_instrument": 1},
        {"needs_instrument": "true"},
        {"title": 3},
        {"due": 20260328},
        {"settings": []},
        {"settings": None},
        {"pin": None},
        {"passages": {}},
    ],
)
def test_nothing_is_taken_for_something_else(field: dict[str, Any]) -> None:
    (name,) = field
    errors = errors_of({"routine": {"blocks": [{"title": "a", "tasks": [field]}]}})
    assert list(errors) == [f"/routine/blocks/0/tasks/0/{name}"]


def test_a_trailing_newline_does_not_slip_through_a_pattern() -> None:
    assert list(errors_of({**RIGHT, "locale": "en\n"})) == ["/locale"]


# Numbers --------------------------------------------------------------------------------------------------


def test_a_whole_number_may_be_written_with_a_point() -> None:
    # JSON Schema 2020-12 validation, section 6.1.1: "integer" matches any number with a zero fraction.
    body = b'{"routine":{"blocks":[{"title":"a","tasks":[{"cadence_days":3.0,"set_up_seconds":6e1}]}]}}'
    task = decode_request(body).routine.blocks[0].tasks[0]
    assert (task.cadence_days, task.set_up_seconds) == (3, 60)
    assert type(task.cadence_days) is int


def test_settings_get_whole_numbers_as_such_however_written() -> None:
    settings = settings_of('{"a": 92.0, "b": 92, "c": 9.2e1, "d": -0.0, "e": 92.5}')
    assert settings == {"a": 92, "b": 92, "c": 92, "d": 0, "e": 92.5}
    assert [type(value) for value in settings.values()] == [int, int, int, int, float]


@pytest.mark.parametrize(
    "number",
    ["9007199254740992", "-9007199254740992", "12345678901234567890123", "1e999", "-1E+999"],
)
def test_numbers_beyond_a_double_are_refused(number: str) -> None:
    errors = errors_of(with_settings(f'{{"a": [0, {number}]}}'))
    assert list(errors) == ["/routine/blocks/0/tasks/0/settings/a/1"]


@pytest.mark.parametrize(
    "number", ["9007199254740991", "-9007199254740991", "0.1234567890123456789", "1e300"]
)
def test_numbers_that_a_double_holds_are_taken(number: str) -> None:
    assert settings_of(f'{{"a": {number}}}') == {"a": json.loads(number)}


def test_a_number_of_thousands_of_digits_is_refused() -> None:
    assert len(errors_of(with_settings('{"a": %s}' % ("1" * 5000)))) == 1


# Names given twice, depth, surrogates ---------------------------------------------------------------------


def test_a_name_that_stands_twice_is_refused_wherever_it_stands() -> None:
    body = (
        b'{"routine":{"blocks":[{"title":"a"},{"title":"b: {\\":","title":"c","minutes":0,'
        b'"tasks":[{"settings":{"x":1,"y":{"z":1,"z":1,"z":1},"x":1}}]}]}}'
    )
    settings = "/routine/blocks/1/tasks/0/settings"
    errors = errors_of(body)
    assert list(errors) == [
        "/routine/blocks/1/minutes",
        f"{settings}/x",
        f"{settings}/y/z",
        "/routine/blocks/1/title",
    ]
    assert errors["/routine/blocks/1/title"].message == "the field is given more than once"


def test_colons_and_quotes_in_texts_are_no_names() -> None:
    assert settings_of(r'{"a:b": "::\":{\"c\":1", "\\": ":"}') == {"a:b": '::":{"c":1', "\\": ":"}


def test_depth_is_limited() -> None:
    # The settings are the seventh level: body, routine, blocks, block, tasks, task, settings.
    inside = DEPTH_LIMIT - 7
    deepest = '{"a":' + "[" * inside + "]" * inside + "}"
    assert settings_of(deepest)
    too_deep = '{"a":' + "[" * (inside + 1) + "]" * (inside + 1) + "}"
    errors = errors_of(with_settings(too_deep))
    assert errors[""].message == f"lists and objects are nested {DEPTH_LIMIT + 1} deep"


def test_brackets_in_texts_have_no_depth() -> None:
    assert settings_of(json.dumps({"a": '[{"' * 50})) == {"a": '[{"' * 50}


@pytest.mark.parametrize(
    "text", [r"\ud800", r"\ud800 x", r"\ud800\u0041", r"\udc00", r"\udc00\ud800", r"x\uD834"]
)
def test_half_a_surrogate_pair_is_refused(text: str) -> None:
    with pytest.raises(MalformedJsonError, match=r"surrogate.*line 1, column"):
        decode_request(with_settings(f'{{"a": "{text}"}}'))


def test_a_whole_surrogate_pair_is_one_character() -> None:
    # RFC 8259, section 7: the G clef, U+1D11E, is written \uD834\uDD1E.
    assert settings_of(r'{"a": "\uD834\uDD1E", "b": "\\ud800"}') == {"a": "\U0001d11e", "b": r"\ud800"}


# No JSON at all -------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("body", "place"),
    [
        (b'{"routine": }', "line 1, column 13"),
        (b'{\n  "routine":\n    tru}', "line 3, column 5"),
        ('{"é": é}'.encode(), "line 1, column 7"),
        (b'{"a": 1,}', "line 1, column [89]"),  # Python 3.13 blames the comma, earlier ones what follows it
        (b"{'a': 1}", "line 1, column 2"),
        (b'{"a": 01}', "line 1, column 8"),
        (b'{"a": 1} x', "line 1, column 10"),
        (b'{"a": [1, 2', "line 1, column 12"),
        (b'{"a": "b\nc"}', "line 1, column 9"),
        (b"\xef\xbb\xbf{}", "line 1, column 1"),
        (b'{"a": "\xff"}', "line 1, column 8"),
        (b'{\n"a": "\xc3\xa9\xed\xa0\x80"}', "line 2, column 8"),
        ('{"a": 1}'.encode("utf-16-le"), "line 1, column 2"),
    ],
)
def test_malformed_json_is_placed(body: bytes, place: str) -> None:
    with pytest.raises(MalformedJsonError, match=place):
        decode_request(body)


@pytest.mark.parametrize("body", [b"", b"  \n"])
def test_an_empty_body_is_said_to_be_empty(body: bytes) -> None:
    with pytest.raises(MalformedJsonError, match="empty"):
        decode_request(body)


# Bounds ---------------------------------------------------------------------------------------------------

HOSTILE = {
    "quotes": b'"' * 1_000_000,
    "escaped quotes": b'"' + b'\\"' * 500_000,
    "brackets": b"[" * 1_000_000,
    "closing brackets": b"]" * 1_000_000,
    "wrong blocks": b'{"routine":{"blocks":[' + b"1," * 500_000 + b"1]}}",
    "empty blocks": b'{"routine":{"blocks":[' + b"{}," * 300_000 + b"{}]}}",
    "unknown fields": b"{" + b",".join(b'"k%d":1' % number for number in range(100_000)) + b"}",
    "names given twice": b'{"routine":{"blocks":[' + b'{"a":1,"a":2},' * 70_000 + b"{}]}}",
    "digits": b"1" * 1_000_000,
}


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_body_of_a_mebibyte_is_refused_in_bounded_time(name: str) -> None:
    begin = time.process_time()
    with pytest.raises((InvalidInputError, MalformedJsonError)) as caught:
        decode_request(HOSTILE[name])
    # Many times what the slowest needs on an idle machine; without bounds some take fifteen seconds.
    assert time.process_time() - begin < 5
    if isinstance(caught.value, InvalidInputError):
        assert len(caught.value.errors) <= WRONG_FIELDS_LIMIT + 1


def test_it_is_said_where_not_all_wrong_fields_are_listed() -> None:
    body = {**RIGHT, **{f"field_{number}": 1 for number in range(WRONG_FIELDS_LIMIT + 5)}}
    errors = errors_of(body)
    assert len(errors) == WRONG_FIELDS_LIMIT + 1
    assert errors[""].message == "more than 1000 fields are wrong; here are some of them"


def test_it_is_said_where_not_all_values_were_looked_at() -> None:
    schema = CheckedSchema({"type": "array", "items": {"type": "array", "items": {"type": "integer"}}})
    value: list[Any] = [["a"], [1] * VALUES_LIMIT, ["b"]]
    found = {error.pointer: error.message for error in schema.wrong_fields(value, "/list")}
    assert found == {
        "/list/0/0": '"a" is of the wrong type',
        "/list": "only the first 20000 values were looked at, and some of them are wrong",
    }


def test_a_wrong_value_far_behind_is_still_refused() -> None:
    far = {**RIGHT["history"][0], "units": ["C"] * 8}
    history = [far] * 2500 + [{**far, "seconds": -1}]
    assert list(errors_of({**RIGHT, "history": history})) == ["/history/2500/seconds"]


# The schema -----------------------------------------------------------------------------------------------


def test_the_schema_refuses_unknown_fields_everywhere() -> None:
    schema = request_schema(CompressionRequest)
    assert schema["$ref"] == "#/$defs/CompressionRequest"
    for definition in schema["$defs"].values():
        assert definition["additionalProperties"] is False
    assert schema["$defs"]["Routine"]["properties"]["blocks"]["maxItems"] == BLOCKS_LIMIT


def test_descriptions_are_not_indented_as_in_the_source() -> None:
    text = json.dumps(request_schema(CompressionRequest))
    assert "\\n    " not in text


def test_where_the_schema_finds_nothing_the_decoders_own_error_is_told() -> None:
    # A schema cannot say which base64 is right, and msgspec can.
    class Coded(msgspec.Struct):
        parts: list[bytes]

    errors = errors_of(b'{"parts": ["YQ==", "!"]}', Coded)
    assert list(errors) == ["/parts/1"]


def test_a_value_is_typed_without_json_too() -> None:
    assert typed(RIGHT, CompressionRequest) == decode_request(json.dumps(RIGHT).encode())


@pytest.mark.parametrize("name", ["0", "17", "00", "+5", "0" * 5000, "x"])
@pytest.mark.parametrize(
    "kind", [{"enum": ["a"]}, {"anyOf": [{"type": "string", "maxLength": 1}, {"type": "null"}]}]
)
def test_a_name_that_looks_like_a_place_in_a_list_is_a_name(name: str, kind: dict[str, Any]) -> None:
    """The validator gives names of digits as numbers, as it gives places in lists."""
    schema = CheckedSchema({"properties": {"pins": {"type": "object", "additionalProperties": kind}}})
    (error,) = schema.wrong_fields({"pins": {"first": "a", name: "abc"}})
    assert error.pointer == f"/pins/{name}"
    assert "abc" in error.message or "3 characters" in error.message


def test_pointers_escape_as_rfc_6901_has_it() -> None:
    # RFC 6901, section 5, the worked example.
    for name, pointer in {"foo": "/foo", "": "/", "a/b": "/a~1b", "c%d": "/c%d", "m~n": "/m~0n"}.items():
        assert pointer_to([name]) == pointer
    assert pointer_to(["foo", 0]) == "/foo/0"
    assert pointer_to([]) == ""


class _ByName(msgspec.Struct, forbid_unknown_fields=True):
    words: dict[str, Annotated[str, msgspec.Meta(min_length=1)] | None]


@pytest.mark.parametrize("name", ["0", "17", "00"])
def test_a_name_of_digits_is_a_name(name: str) -> None:
    (error,) = errors_of({"words": {"other": "fine", name: ""}}, _ByName).values()
    assert error.accepted
