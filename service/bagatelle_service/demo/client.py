"""A client of the service in plain standard library, as any program could write it."""

import http.client
import json
from typing import Any

import msgspec
from bagatelle import CompressionAnswer

TIMEOUT_SECONDS = 30


class RefusedError(Exception):
    """The service answered, but with no plan. Says the status and the problem."""


def is_ready(host: str, port: int) -> bool:
    """Ask whether the service takes requests yet."""
    try:
        status, _ = _exchange(host, port, "GET", "/health/ready")
    except (OSError, http.client.HTTPException):
        return False
    return status == http.HTTPStatus.OK


def plan_of(host: str, port: int, request: bytes) -> CompressionAnswer:
    """Send one routine and what the day gives; the answer with its plan.

    :raises RefusedError: where the service makes no plan of it.
    :raises OSError: where it does not answer.
    """
    status, body = _exchange(host, port, "POST", "/v1/compressions", request)
    if status != http.HTTPStatus.OK:
        raise RefusedError(f"POST /v1/compressions answered {status}: {_problem(body)}")
    return msgspec.json.decode(body, type=CompressionAnswer)


def _exchange(host: str, port: int, method: str, path: str, body: bytes | None = None) -> tuple[int, bytes]:
    connection = http.client.HTTPConnection(host, port, timeout=TIMEOUT_SECONDS)
    try:
        connection.request(method, path, body, {"Content-Type": "application/json"} if body else {})
        response = connection.getresponse()
        return response.status, response.read()
    finally:
        connection.close()


def _problem(body: bytes) -> str:
    try:
        problem: dict[str, Any] = json.loads(body)
        return json.dumps(problem, indent=2, ensure_ascii=False)
    except ValueError:
        return body.decode(errors="replace")
