"""Headers that requests may carry, as the description lists them."""

from typing import Any

from bagatelle_service.api.operation import Operation


def takes_if_none_match(operation: Operation) -> bool:
    """Tell whether an operation answers 304 to who has the answer already."""
    reads = operation.body is None and operation.status == 200 and not operation.changes
    return operation.cached or (operation.has_revision and reads)


def takes_key(operation: Operation) -> bool:
    """Tell whether an operation takes an Idempotency-Key: whatever makes something stored does."""
    return operation.stored and operation.status == 201


def header_parameters(operation: Operation) -> list[dict[str, Any]]:
    """List the headers that an operation takes."""
    found = []
    if takes_if_none_match(operation):
        description = "An ETag that an earlier answer had; 304 while it still holds."
        found.append(_header("If-None-Match", description, '"0f343b0931126a20f133d67c2b018a3b"'))
    if operation.changes:
        found.append(_if_match(operation))
    if takes_key(operation):
        description = "The same request under the same key is done once, and answered alike, for 24 hours."
        key = {"type": "string", "pattern": "^[!-~]{1,128}$", "maxLength": 128}
        found.append(
            {**_header("Idempotency-Key", description, "7f3c9a52-1d0e-4b7b-a8d5-5e0f6c1a9b34"), "schema": key}
        )
    return found


def _header(name: str, description: str, example: str) -> dict[str, Any]:
    return {
        "name": name,
        "in": "header",
        "required": False,
        "description": description,
        "schema": {"type": "string"},
        "example": example,
    }


def _if_match(operation: Operation) -> dict[str, Any]:
    needed = "Needed: 428 without."
    if operation.match_where_lost:
        needed = "Needed where something would be lost: 428 without."
    if operation.may_make:
        needed = (
            "Needed where it is there with other content: 428 without. Where it is not there: 412 with it."
        )
    description = f"The ETag of what is changed, as GET sent it, or `*` for whatever it is. {needed}"
    required = not (operation.match_where_lost or operation.may_make)
    return {**_header("If-Match", description, '"1"'), "required": required}
