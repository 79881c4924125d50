"""The API's own description (OpenAPI 3.1), made from the routes and the types that they carry.

The framework's generator loses constraints inside optionals and lists, says nothing of refused fields and
gives problems the wrong media type; msgspec's own schemas have all of it.
"""

import json
from collections.abc import Iterable
from typing import Any, Final

import msgspec
from litestar.handlers import HTTPRouteHandler
from litestar.routes import BaseRoute, HTTPRoute
from msgspec import Struct

from bagatelle_service.api import problems
from bagatelle_service.api.field_docs import add_field_descriptions
from bagatelle_service.api.header_parameters import header_parameters, takes_if_none_match, takes_key
from bagatelle_service.api.operation import JSON, NDJSON, OPT_KEY, Example, Operation, TextBody, body_kinds
from bagatelle_service.api.problem_examples import problem_example
from bagatelle_service.api.problems import PROBLEM_MEDIA_TYPE, Problem, ProblemType
from bagatelle_service.api.strictness import takes_list

API_VERSION: Final = "1.0.0-draft"
SCHEMAS: Final = "#/components/schemas/"
DESCRIPTION: Final = """\
A musician's normal practice routine in, a short-day plan out: a smaller routine, made of exact things already
in hand, for a day that will not hold the whole.

Every error is a problem (RFC 9457) with a stable `type`. Unknown fields and unknown query parameters are
refused, all wrong fields at once. Limits: bodies of 1 MiB, those of imports of 4 MiB, queries of 8,192 characters,
40 blocks, 200 tasks in all, 24 windows, 600 minutes a block. Every GET also answers HEAD, every path OPTIONS.
Every answer carries `X-Request-Id`: the request's own where it is of 1 to 64 letters, digits, `.`, `_` and `-`,
otherwise a new one.

What is stored belongs to a school and needs a token. Whatever can be changed has an ETag: a change names it in
If-Match, and is refused where somebody else was faster. A POST that stores may come again under the same
Idempotency-Key for 24 hours and does nothing twice. Lists come in pages; `next` is the `cursor` of the next.
"""
TAGS: Final = {
    "plans": "Short-day plans. Nothing is stored.",
    "catalogue": "What the loaded instrument plugins know.",
    "school": "The school itself, and what opens it. All that is stored is of one school; another's is a 404.",
    "people": "Students, and who teaches or looks after them.",
    "routines": "Students' routines.",
    "practice": "What is prepared for students' days, what was done on them, and what it comes to.",
    "service": "The service itself.",
}


def operations(routes: Iterable[BaseRoute]) -> Iterable[tuple[str, str, Operation]]:
    """List (path, method, operation) of every handler that describes itself, in the order of paths."""
    for route in sorted(
        (route for route in routes if isinstance(route, HTTPRoute)), key=lambda r: r.path_format
    ):
        described = [handler for handler in route.route_handlers if OPT_KEY in handler.opt]
        for handler in sorted(described, key=_method):
            yield route.path_format, _method(handler), handler.opt[OPT_KEY]


def _method(handler: HTTPRouteHandler) -> str:
    return next(str(method).lower() for method in handler.http_methods if method not in ("HEAD", "OPTIONS"))


def build_document(routes: Iterable[BaseRoute]) -> dict[str, Any]:
    """Describe all routes."""
    described = list(operations(routes))
    paths: dict[str, dict[str, Any]] = {}
    schemas = _Schemas(described)
    for path, method, operation in described:
        paths.setdefault(path, {})[method] = _operation(operation, schemas)
    return {
        "openapi": "3.1.0",
        "info": {
            "title": "Bagatelle",
            "version": API_VERSION,
            "description": DESCRIPTION,
            "license": {"name": "MIT", "identifier": "MIT"},
        },
        "jsonSchemaDialect": "https://json-schema.org/draft/2020-12/schema",
        "servers": [{"url": "/"}],
        "tags": [{"name": name, "description": text} for name, text in TAGS.items()],
        "paths": paths,
        "components": {
            "schemas": schemas.components,
            "headers": HEADERS,
            "examples": {
                _example_key(row): {"value": problem_example(row)} for row in problems.PROBLEM_TYPES
            },
            "securitySchemes": {
                "token": {
                    "type": "http",
                    "scheme": "bearer",
                    "description": (
                        "A token of a school, of the operator's, or of an outside issuer that the service knows. "
                        "What an operation lists is the scope that it needs. Where the service was started with "
                        "`--open`, what stores nothing needs no token."
                    ),
                }
            },
        },
    }


HEADERS: Final = {
    "RequestId": {
        "description": "Names the request, in the log too.",
        "required": True,
        "schema": {"type": "string", "pattern": "^[A-Za-z0-9._-]{1,64}$"},
    },
    "ETag": {
        "description": "Changes when the answer does; for If-None-Match.",
        "required": True,
        "schema": {"type": "string"},
    },
    "ETagWhereStored": {
        "description": "As ETag; absent where what is shown is not stored.",
        "required": False,
        "schema": {"type": "string"},
    },
    "Location": {
        "description": "The path of what was made.",
        "required": True,
        "schema": {"type": "string"},
    },
}
REQUEST_ID_HEADER: Final = {"X-Request-Id": {"$ref": "#/components/headers/RequestId"}}
ETAG_HEADER: Final = {"ETag": {"$ref": "#/components/headers/ETag"}}
LOCATION_HEADER: Final = {"Location": {"$ref": "#/components/headers/Location"}}


class _Schemas:
    """The schemas of all types, and references to them."""

    def __init__(self, described: list[tuple[str, str, Operation]]) -> None:
        kinds = {operation.answer for _, _, operation in described if operation.answer is not None}
        kinds |= {operation.body for _, _, operation in described if operation.body is not None}
        kinds |= {text.row for _, _, each in described for text in each.text_bodies if text.row is not None}
        ordered = sorted(kinds, key=str)
        references, self.components = msgspec.json.schema_components(
            [*ordered, Problem], ref_template=SCHEMAS + "{name}"
        )
        add_field_descriptions(self.components, [*ordered, Problem])
        self.components = dict(sorted(self.components.items()))
        self._references = dict(zip([*ordered, Problem], references, strict=True))

    def of(self, kind: Any) -> dict[str, Any]:
        return self._references[kind]


def _operation(operation: Operation, schemas: _Schemas) -> dict[str, Any]:
    described: dict[str, Any] = {
        "operationId": operation.operation_id,
        "tags": [operation.tag],
        "summary": operation.summary,
        "description": operation.description,
        "parameters": [
            *_path_parameters(operation),
            *_query_parameters(operation.query),
            *header_parameters(operation),
        ],
        "responses": {
            **_dry_run(operation, schemas),
            str(operation.status): _answer(operation, schemas, operation.status),
            **({"201": _answer(operation, schemas, 201)} if operation.may_make else {}),
            **_not_modified(operation),
            **_problems(operation),
        },
        "security": _security(operation),
    }
    if operation.body is not None:
        content = {"schema": schemas.of(operation.body), "examples": _examples(operation.body_examples)}
        described["requestBody"] = {"required": True, "content": {JSON: content}}
    if operation.text_bodies:
        described["requestBody"] = {
            "required": True,
            "content": {text.media_type: _text_content(text) for text in operation.text_bodies},
        }
    return described


def _text_content(text: TextBody) -> dict[str, Any]:
    return {"schema": {"type": "string"}, "examples": _examples(text.examples)}


def _security(operation: Operation) -> list[dict[str, list[str]]]:
    if not operation.needs_token:
        return []
    # The scope stands where OpenAPI 3.1 has room for it. Where nothing is stored, either a token or none: whether
    # one is asked for is the deployment's choice.
    with_token: dict[str, list[str]] = {"token": [operation.scope] if operation.scope else []}
    return [with_token] if operation.stored else [with_token, {}]


def _etag_header(operation: Operation) -> dict[str, Any]:
    if operation.revision_where_stored:
        return {"ETag": {"$ref": "#/components/headers/ETagWhereStored"}}
    return ETAG_HEADER if operation.cached or operation.has_revision else {}


def _dry_run(operation: Operation, schemas: _Schemas) -> dict[str, Any]:
    if not operation.dry_run:
        return {}
    done = _answer(operation, schemas, 200)
    described = "With `dry_run`: the same answer, and nothing is stored."
    return {"200": {**done, "description": described, "headers": REQUEST_ID_HEADER}}


def _answer(operation: Operation, schemas: _Schemas, status: int) -> dict[str, Any]:
    if status == 204:
        return {"description": operation.answer_description, "headers": REQUEST_ID_HEADER}
    content: dict[str, Any] = {"schema": {"type": "string"}}
    if operation.media_type == NDJSON:
        # A string whose content is described: JSON Schema 2020-12, validation, 8.5.
        content["schema"] |= {"contentMediaType": NDJSON, "contentSchema": schemas.of(operation.answer)}
    elif operation.answer is not None:
        content["schema"] = schemas.of(operation.answer)
    if operation.answer_examples:
        content["examples"] = _examples(operation.answer_examples)
    return {
        "description": operation.answer_description,
        "headers": REQUEST_ID_HEADER
        | _etag_header(operation)
        | (LOCATION_HEADER if status == 201 and operation.names_place else {}),
        "content": {operation.media_type: content},
    }


def _not_modified(operation: Operation) -> dict[str, Any]:
    if not takes_if_none_match(operation):
        return {}
    return {
        "304": {
            "description": "Unchanged: the answer still has the ETag of If-None-Match.",
            "headers": REQUEST_ID_HEADER | ETAG_HEADER,
        }
    }


def problems_of(operation: Operation) -> tuple[ProblemType, ...]:
    """List the problems that an operation can meet: its own, and those that its shape brings with it."""
    met = [problems.NOT_ACCEPTABLE, problems.INVALID_INPUT, problems.INTERNAL, *operation.problems]
    if operation.needs_token:
        met += [problems.NO_TOKEN, problems.NOT_ALLOWED, problems.TOO_MANY_REQUESTS, problems.BUSY]
        met.append(problems.ISSUER_OUT_OF_REACH)
    if operation.stored and operation.path_parameters:
        met.append(problems.UNKNOWN_ID)
    if operation.changes:
        met += [problems.CHANGED_MEANWHILE, problems.IF_MATCH_NEEDED]
    if takes_key(operation):
        met += [problems.KEY_REUSED, problems.ANSWER_ERASED, problems.TAKEN]
    if operation.body is not None:
        met.append(problems.MALFORMED_JSON)
    if body_kinds(operation):
        met += [problems.BAD_REQUEST, problems.TOO_LARGE, problems.UNSUPPORTED_MEDIA_TYPE]
    return tuple(row for row in problems.PROBLEM_TYPES if row in met)


def _problems(operation: Operation) -> dict[str, Any]:
    by_status: dict[int, list[ProblemType]] = {}
    for row in problems_of(operation):
        by_status.setdefault(row.status, []).append(row)
    return {
        str(status): {
            "description": " ".join(f"`{row.name}`: {row.meaning}" for row in rows),
            "headers": REQUEST_ID_HEADER,
            "content": {
                PROBLEM_MEDIA_TYPE: {
                    "schema": {"$ref": SCHEMAS + Problem.__name__},
                    "examples": {
                        row.name: {"$ref": f"#/components/examples/{_example_key(row)}"} for row in rows
                    },
                }
            },
        }
        for status, rows in sorted(by_status.items())
    }


def _example_key(row: ProblemType) -> str:
    return "problem-" + row.name


def _path_parameters(operation: Operation) -> list[dict[str, Any]]:
    return [
        {
            "name": part.name,
            "in": "path",
            "required": True,
            "description": part.description,
            "schema": {"type": "string", "pattern": part.pattern, "maxLength": part.longest},
            "example": part.example,
        }
        for part in operation.path_parameters
    ]


def _query_parameters(query: type[Struct] | None) -> list[dict[str, Any]]:
    if query is None:
        return []
    return [_query_parameter(field) for field in msgspec.structs.fields(query)]


def _query_parameter(field: msgspec.structs.FieldInfo) -> dict[str, Any]:
    schema = msgspec.json.schema(field.type)
    described = {
        "name": field.encode_name,
        "in": "query",
        "required": field.required,
        "description": schema.pop("description"),
        "example": schema.pop("examples")[0],
        "schema": schema,
    }
    if takes_list(field.type):
        described |= {"style": "form", "explode": False}  # with commas between
    if isinstance(field.default, str | int):
        schema["default"] = field.default
    return described


def _examples(examples: tuple[Example, ...]) -> dict[str, Any]:
    return {example.name: {"summary": example.summary, "value": example.value()} for example in examples}


def document_text(document: dict[str, Any]) -> str:
    """Write the document as it is committed."""
    return json.dumps(document, indent=2, ensure_ascii=False) + "\n"
