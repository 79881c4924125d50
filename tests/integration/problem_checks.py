"""What must hold of every problem."""

from typing import Any

import httpx
import msgspec
from bagatelle_service.api.problems import PROBLEM_TYPES, Problem

TABLE = {row.uri: row for row in PROBLEM_TYPES}


def problem_in(response: httpx.Response, name: str) -> dict[str, Any]:
    """Check that a response is the problem of that name, in the shape of RFC 9457, and return it."""
    assert response.headers["content-type"] == "application/problem+json", response.text
    problem: dict[str, Any] = response.json()
    msgspec.convert(problem, Problem)
    assert problem["type"] == f"urn:bagatelle:problem:{name}"
    row = TABLE[problem["type"]]
    assert problem["status"] == response.status_code == row.status
    assert problem["title"] == row.title
    assert problem["detail"]
    assert problem["instance"] == "urn:bagatelle:request:" + response.headers["x-request-id"]
    assert response.headers["cache-control"] == "no-store"
    return problem


def pointers(problem: dict[str, Any]) -> list[str]:
    """Say which fields a problem calls wrong."""
    return [wrong["pointer"] for wrong in problem["errors"]]
