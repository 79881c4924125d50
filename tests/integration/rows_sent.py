"""Rows as they are sent to an import."""

import csv
import io
import json
from collections.abc import Iterable, Sequence
from typing import Any

import httpx

from tests.integration.school import As


def as_csv(header: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    written = io.StringIO(newline="")
    csv.writer(written).writerows([header, *rows])
    return written.getvalue()


def as_ndjson(rows: Iterable[dict[str, Any]]) -> str:
    return "".join(json.dumps(row) + "\n" for row in rows)


def send_csv(caller: As, path: str, text: str | bytes, **headers: str) -> httpx.Response:
    return _send(caller, path, text, "text/csv; charset=utf-8", headers)


def send_ndjson(caller: As, path: str, text: str | bytes, **headers: str) -> httpx.Response:
    return _send(caller, path, text, "application/x-ndjson", headers)


def _send(caller: As, path: str, text: str | bytes, kind: str, headers: dict[str, str]) -> httpx.Response:
    named = {name.replace("_", "-"): value for name, value in headers.items()}
    return caller.send("POST", path, content=text, headers={"Content-Type": kind, **named})


def places(problem: dict[str, Any]) -> list[tuple[str, int]]:
    """Say which fields of which lines a problem calls wrong."""
    return [(wrong["pointer"], wrong["line"]) for wrong in problem["errors"]]
