"""The committed description: fresh, complete, and true of what is accepted."""

import json
import re
from collections.abc import Iterator
from typing import Any

import jsonschema_rs
import msgspec
import pytest
import schemathesis
from bagatelle import Instruments, decode_request
from bagatelle.model.errors import InvalidInputError
from bagatelle.model.request import CompressionRequest
from bagatelle_service.api import problems
from bagatelle_service.api.document import build_document, document_text, operations
from bagatelle_service.api.field_docs import field_descriptions
from bagatelle_service.api.problems import PROBLEM_TYPES
from bagatelle_service.app import create_app
from bagatelle_service.contract import contract_file, contract_text
from bagatelle_service.settings import Settings
from litestar.routes import HTTPRoute

COMMITTED: dict[str, Any] = json.loads(contract_file().read_text(encoding="utf-8"))
# Files of the docs page, not operations.
NOT_DESCRIBED = {"/docs/assets/{file}"}
SCHEMAS = "#/components/schemas/"


def described() -> Iterator[tuple[str, str, dict[str, Any]]]:
    for path, methods in COMMITTED["paths"].items():
        for method, operation in methods.items():
            yield path, method, operation


def validator(schema: dict[str, Any]) -> jsonschema_rs.Draft202012Validator:
    return jsonschema_rs.Draft202012Validator(
        {**schema, "components": COMMITTED["components"]}, validate_formats=True
    )


EVERY_OPERATION = pytest.mark.parametrize(
    "operation", [pytest.param(operation, id=operation["operationId"]) for _, _, operation in described()]
)


def test_the_committed_file_is_fresh() -> None:
    assert contract_file().read_text(encoding="utf-8") == contract_text(), "stale: run `bagatelle contract`"


def test_it_is_valid_openapi() -> None:
    # schemathesis checks against the OpenAPI Initiative's own schema of OpenAPI 3.1.
    schemathesis.openapi.from_dict(COMMITTED).validate()
    assert COMMITTED["openapi"] == "3.1.0"


def test_every_route_is_in_it() -> None:
    app = create_app(Settings(database_url="sqlite://"), Instruments.none())
    routes = {
        (route.path_format, method.lower())
        for route in app.litestar.routes
        if isinstance(route, HTTPRoute) and route.path_format not in NOT_DESCRIBED
        for method in route.methods - {"OPTIONS", "HEAD"}
    }
    assert routes == {(path, method) for path, method, _ in described()}
    assert len(list(operations(app.litestar.routes))) == len(routes)


def test_operation_ids_are_unique() -> None:
    ids = [operation["operationId"] for _, _, operation in described()]
    assert len(set(ids)) == len(ids)


@EVERY_OPERATION
def test_every_operation_says_what_it_is(operation: dict[str, Any]) -> None:
    assert re.fullmatch(r"[a-z_]+", operation["operationId"])
    assert operation["summary"]
    assert operation["description"]
    assert operation["tags"]
    for parameter in operation["parameters"]:
        assert parameter["description"]
        assert "example" in parameter


@EVERY_OPERATION
def test_every_operation_has_examples(operation: dict[str, Any]) -> None:
    if operation["operationId"] in ("show_document", "show_docs"):
        return  # their answers are this very document, and a page
    contents = [
        content
        for status, response in operation["responses"].items()
        if status.startswith("2")
        for content in response.get("content", {}).values()
    ]
    contents += operation.get("requestBody", {"content": {}})["content"].values()
    assert all(content["examples"] for content in contents)


@EVERY_OPERATION
def test_every_example_is_valid(operation: dict[str, Any]) -> None:
    bodies = [operation["requestBody"]] if "requestBody" in operation else []
    for holder in (*operation["responses"].values(), *bodies):
        for content in holder.get("content", {}).values():
            for example in content.get("examples", {}).values():
                if "$ref" in example:
                    example = COMMITTED["components"]["examples"][example["$ref"].rpartition("/")[2]]
                validator(content["schema"]).validate(example["value"])


@EVERY_OPERATION
def test_every_operation_names_its_problems(operation: dict[str, Any]) -> None:
    responses = operation["responses"]
    assert {"406", "422", "500"} <= responses.keys()
    if "requestBody" in operation:
        assert {"400", "413", "415"} <= responses.keys()
    if operation["security"]:
        assert "401" in responses
    for status, response in responses.items():
        if int(status) >= 400:
            assert response["content"].keys() == {"application/problem+json"}
        assert "X-Request-Id" in response["headers"]


def test_every_type_of_problem_has_an_example() -> None:
    found = {example["value"]["type"] for example in COMMITTED["components"]["examples"].values()}
    assert found == {row.uri for row in PROBLEM_TYPES}


def test_objects_of_requests_are_closed() -> None:
    def closed(name: str, seen: set[str]) -> None:
        if name in seen:
            return
        seen.add(name)
        schema = COMMITTED["components"]["schemas"][name]
        assert schema["additionalProperties"] is False, name
        for reference in re.findall(re.escape(SCHEMAS) + r"(\w+)", json.dumps(schema)):
            closed(reference, seen)

    seen: set[str] = set()
    closed("CompressionRequest", seen)
    closed("ForecastRequest", seen)
    assert {"Routine", "Block", "Task", "Passage", "Circumstances", "Window"} <= seen
    assert {"KnownDay", "Distribution", "KindOfDay", "Variant"} <= seen


def test_limits_are_in_the_schema() -> None:
    schemas = COMMITTED["components"]["schemas"]
    assert schemas["Routine"]["properties"]["blocks"]["maxItems"] == 40
    assert schemas["Block"]["properties"]["tasks"]["maxItems"] == 200
    assert schemas["Circumstances"]["properties"]["windows"]["maxItems"] == 24
    assert schemas["ForecastRequest"]["properties"]["days"]["maximum"] == 366
    assert schemas["ForecastRequest"]["properties"]["known_days"]["maxItems"] == 366
    assert schemas["Distribution"]["properties"]["kinds"]["maxItems"] == 24
    minutes = schemas["Block"]["properties"]["minutes"]["anyOf"][0]
    assert minutes == {"type": "number", "minimum": 0.5, "maximum": 600}
    assert "200 tasks in all" in COMMITTED["info"]["description"]
    assert "1 MiB" in COMMITTED["info"]["description"]


def test_the_draw_is_stated_in_the_schema() -> None:
    stated = COMMITTED["components"]["schemas"]["Distribution"]["description"]
    assert "SHA-256 of the text `<seed>:<date>`" in stated
    assert "n = floor(h * W / 2^256)" in stated


def test_fields_have_their_docstrings() -> None:
    assert field_descriptions(CompressionRequest)["date"].startswith("The day of the plan")
    task = COMMITTED["components"]["schemas"]["Task"]["properties"]
    assert task["minutes"]["description"] == "Usual minutes of playing; set-up comes on top."


@pytest.mark.parametrize(
    "body",
    [
        {"routine": {"blocks": [{"title": "x"}]}},
        {"routine": {"blocks": []}},
        {"routine": {"blocks": [{"title": "x", "minutes": 0.4}]}},
        {"routine": {"blocks": [{"title": "x", "minutes": 600}]}},
        {"routine": {"blocks": [{"title": "x"}] * 41}},
        {"routine": {"blocks": [{"title": "x", "id": "a b"}]}},
        {"routine": {"blocks": [{"title": "x", "id": "ab\n"}]}},
        {"routine": {"blocks": [{"title": "x", "tasks": [{"cadence_days": 3.0}]}]}},
        {"routine": {"blocks": [{"title": "x", "tasks": [{"cadence_days": 3.5}]}]}},
        {"routine": {"blocks": [{"title": "x"}]}, "surprise": 1},
        {"routine": {"blocks": [{"title": "x"}]}, "circumstances": {"quiet": "yes"}},
        {"routine": {"blocks": [{"title": "x"}]}, "date": "2027-02-29"},
        {"routine": {"blocks": [{"title": "x"}]}, "date": "2028-02-29"},
        {"routine": {"blocks": [{"title": "x"}]}, "learner": None},
    ],
)
def test_decoding_accepts_what_the_schema_accepts(body: dict[str, Any]) -> None:
    by_schema = validator({"$ref": SCHEMAS + "CompressionRequest"}).is_valid(body)
    try:
        decode_request(msgspec.json.encode(body))
        by_decoding = True
    except InvalidInputError:
        by_decoding = False
    assert by_decoding == by_schema


def test_building_twice_gives_the_same() -> None:
    routes = create_app(Settings(database_url="sqlite://"), Instruments.none()).litestar.routes
    assert document_text(build_document(routes)) == document_text(build_document(reversed(routes)))


def test_statuses_of_the_table_are_in_the_document() -> None:
    shown = {int(status) for _, _, operation in described() for status in operation["responses"]}
    # 405 and the 404 of an unknown path belong to no operation.
    assert {row.status for row in PROBLEM_TYPES} - {problems.METHOD_NOT_ALLOWED.status} <= shown
