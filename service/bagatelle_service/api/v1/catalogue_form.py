"""`GET /v1/catalogue-form`: what may stand in a catalogue in TOML, as a JSON Schema."""

from typing import Any

import msgspec
from bagatelle.toml_catalogue import form_schema
from litestar import Request, Response, get
from litestar.handlers import HTTPRouteHandler

from bagatelle_service.api.answering import tagged_answer
from bagatelle_service.api.operation import OPT_KEY, Example, Operation, from_file

SHOW_CATALOGUE_FORM = Operation(
    operation_id="show_catalogue_form",
    tag="catalogue",
    summary="Show the form of a catalogue in TOML",
    description=(
        "For editors that check TOML by a schema. What names lead to, expressions and placeholders are not found "
        "by it: `bagatelle plugin check FILE` finds all, with its line."
    ),
    answer=dict[str, Any],
    answer_description="JSON Schema 2020-12 of the values that a file's TOML comes to.",
    answer_examples=(Example("form", "The beginning of the schema", from_file("catalogue-form-answer")),),
    cached=True,
)


def catalogue_form_routes() -> list[HTTPRouteHandler]:
    """Make the handler."""
    body = msgspec.json.encode(form_schema())

    @get("/v1/catalogue-form", opt={OPT_KEY: SHOW_CATALOGUE_FORM})
    async def show_catalogue_form(request: Request[Any, Any, Any]) -> Response[bytes]:
        return tagged_answer(request, body)

    return [show_catalogue_form]
