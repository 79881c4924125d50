"""The contract in two parts: what goes by what a school stores, and the rest."""

import json
from typing import Any

import schemathesis
from bagatelle_service.contract import contract_file

DOCUMENT: dict[str, Any] = json.loads(contract_file().read_text(encoding="utf-8"))
# Lines of JSON and catalogues are sent as the text that they are; tables are, as all kinds of text.
for _kind in ("application/x-ndjson", "application/toml"):
    schemathesis.serializer.alias(_kind, "text/plain")
TAGS_OF_STORED = {"school", "people", "routines", "practice"}


def part(*, stored: bool) -> dict[str, Any]:
    """The contract with the operations of one part alone."""
    paths = {
        path: {
            method: operation
            for method, operation in methods.items()
            if bool(TAGS_OF_STORED & set(operation["tags"])) == stored
        }
        for path, methods in DOCUMENT["paths"].items()
    }
    return {**DOCUMENT, "paths": {path: methods for path, methods in paths.items() if methods}}
