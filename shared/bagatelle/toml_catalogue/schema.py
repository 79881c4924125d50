"""The form as a JSON Schema, for editors of TOML that can check by one."""

from typing import Any

from bagatelle.decode import request_schema
from bagatelle.toml_catalogue.form import Part


def form_schema() -> dict[str, Any]:
    """Return the JSON Schema 2020-12 of a file of a catalogue. Names that lead nowhere are not found by it."""
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "A catalogue of exercises in TOML",
        **request_schema(Part),
    }
