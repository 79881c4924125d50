"""What is refused before it costs anything, and what every answer of the contract carries."""

import time
from collections.abc import Iterator
from typing import Any

import httpx
import pytest
from bagatelle_service.api.document import operations
from bagatelle_service.api.operation import Operation
from bagatelle_service.api.strictness import LONGEST_QUERY
from bagatelle_service.school import admission
from bagatelle_service.school.secrets import hash_of

from tests.integration.api_client import MEBIBYTE, in_chunks
from tests.integration.problem_checks import problem_in
from tests.integration.school import As, SchoolOfTest

JSON = {"Content-Type": "application/json"}
ILSE = {"display_name": "Ilse", "time_zone": "Europe/Oslo"}
STORED_BODIES = [("POST", "/v1/students"), ("POST", "/v1/tokens"), ("PUT", "/v1/students/{id}")]


class Chunks:
    """A body of 8 MiB that notes how much of it was asked for."""

    def __init__(self) -> None:
        self.read = 0

    def __iter__(self) -> Iterator[bytes]:
        for _ in range(64):
            self.read += 1
            yield b" " * (MEBIBYTE // 8)


@pytest.fixture
def student_id(school: SchoolOfTest) -> str:
    return str(school.student()["id"])


@pytest.mark.parametrize(("method", "path"), STORED_BODIES)
def test_a_large_body_is_refused_by_its_length_or_as_it_comes(
    school: SchoolOfTest, student_id: str, method: str, path: str
) -> None:
    path = path.replace("{id}", student_id)
    headers = {**JSON, "If-Match": "*"}
    problem_in(school.owner.send(method, path, content=b" " * (MEBIBYTE + 1), headers=headers), "too-large")
    chunks = Chunks()
    problem_in(school.owner.send(method, path, content=in_chunks(chunks), headers=headers), "too-large")
    assert chunks.read <= 10


@pytest.mark.parametrize(
    ("who", "name"),
    [("nobody", "no-token"), ("a stranger", "no-token"), ("an app", "not-allowed")],
)
@pytest.mark.parametrize(("method", "path"), STORED_BODIES)
def test_who_may_not_is_refused_before_the_body_is_read(
    school: SchoolOfTest, student_id: str, method: str, path: str, who: str, name: str
) -> None:
    stranger = As(school.service.api, "" if who == "nobody" else "bagatelle_of-nobody")
    caller = school.app("groups.read") if who == "an app" else stranger
    chunks = Chunks()
    path = path.replace("{id}", student_id)
    problem_in(caller.send(method, path, content=in_chunks(chunks), headers=JSON), name)
    assert chunks.read <= 1  # the client itself begins with the first


@pytest.mark.parametrize(("method", "path"), STORED_BODIES)
@pytest.mark.parametrize(
    ("body", "name"),
    [
        (b"[" * 33 + b"]" * 33, "invalid-input"),
        (b"[" * 500_000, "invalid-input"),
        (b'{"a":' * 100_000 + b"1" + b"}" * 100_000, "invalid-input"),
        (b'{"display_name": ' + b"9" * 400_000 + b"}", "invalid-input"),
        (b'{"display_name": 1e999}', "invalid-input"),
        (b'{"display_name": "' + b"x" * 900_000 + b'"}', "invalid-input"),
        (b'{"display_name": "Ilse", "display_name": "Ilse"}', "invalid-input"),
        (b'{"display_name": "\\ud800"}', "malformed-json"),
    ],
    ids=[
        "33 deep",
        "500,000 deep",
        "100,000 objects",
        "400,000 digits",
        "1e999",
        "long",
        "twice",
        "half a pair",
    ],
)
def test_a_body_beyond_the_limits(
    school: SchoolOfTest, student_id: str, method: str, path: str, body: bytes, name: str
) -> None:
    began = time.monotonic()
    path = path.replace("{id}", student_id)
    response = school.owner.send(method, path, content=body, headers={**JSON, "If-Match": "*"})
    problem = problem_in(response, name)
    assert len(response.content) < 10_000, "a refusal does not repeat what was sent"
    assert problem["status"] in (400, 422)
    # Generous for a busy machine: what grows with the square of the body takes minutes.
    assert time.monotonic() - began < 5
    assert school.owner.get(f"/v1/students/{student_id}").json()["revision"] == 1


@pytest.mark.parametrize("key", ["", "k" * 129, "k" * 100_000, "a b", "é"])
def test_an_idempotency_key_that_is_none(school: SchoolOfTest, key: str) -> None:
    headers = {"Idempotency-Key": key.encode("latin-1")}
    response = school.service.api.post(
        "/v1/students",
        json=ILSE,
        headers={**headers, "Authorization": f"Bearer {school.owner.secret}"},
    )
    problem = problem_in(response, "invalid-input")
    assert problem["errors"][0]["pointer"] == "/Idempotency-Key"
    assert len(response.content) < 10_000
    assert school.owner.get("/v1/students").json()["students"] == []


def test_a_long_authorization_is_refused_before_it_is_hashed(
    school: SchoolOfTest, monkeypatch: pytest.MonkeyPatch
) -> None:
    hashed: list[int] = []

    def hash_and_note(secret: str) -> bytes:
        hashed.append(len(secret))
        return hash_of(secret)

    monkeypatch.setattr(admission, "hash_of", hash_and_note)
    problem_in(As(school.service.api, "x" * MEBIBYTE).get("/v1/students"), "no-token")
    assert hashed == []
    problem_in(As(school.service.api, "x" * 1000).get("/v1/students"), "no-token")
    assert hashed == [1000]


@pytest.mark.parametrize(
    "query",
    ["x=" + "1" * LONGEST_QUERY, "&".join(f"p{number}=1" for number in range(7_000)), "&" * 60_000],
    ids=["one long value", "many parameters", "nothing but separators"],
)
@pytest.mark.parametrize("path", ["/v1/students", "/v1/policy", "/health/live"])
def test_a_long_query_is_refused_unread(school: SchoolOfTest, path: str, query: str) -> None:
    response = school.owner.get(f"{path}?{query}")
    problem = problem_in(response, "invalid-input")
    assert [(wrong["in"], wrong["pointer"]) for wrong in problem["errors"]] == [("query", "")]
    assert len(response.content) < 1000


class Asked:
    """A request of one operation of the contract, from its own examples."""

    def __init__(self, path: str, method: str, operation: Operation) -> None:
        self.operation = operation
        self.method = method.upper()
        self.path = path
        for part in operation.path_parameters:
            self.path = self.path.replace(f"{{{part.name}}}", part.example)

    def options(self) -> dict[str, Any]:
        headers = {"If-Match": "*"} if self.operation.changes else {}
        if self.operation.body is None:
            return {"headers": headers}
        return {"headers": headers, "json": self.operation.body_examples[0].value()}


def of_the_contract(school: SchoolOfTest) -> list[Asked]:
    routes = school.service.api.app.litestar.routes
    return [Asked(path, method, operation) for path, method, operation in operations(routes)]


def check_headers(asked: Asked, response: httpx.Response) -> None:
    where = f"{asked.method} {asked.path} {response.status_code}"
    headers = response.headers
    assert headers["x-content-type-options"] == "nosniff", where
    assert headers["referrer-policy"] == "no-referrer", where
    assert headers["cross-origin-resource-policy"] == "same-origin", where
    assert headers["content-security-policy"].startswith("default-src 'none'"), where
    assert "frame-ancestors 'none'" in headers["content-security-policy"], where
    assert headers["x-request-id"], where
    assert headers["cache-control"], where
    if asked.operation.stored or response.status_code >= 400:
        assert headers["cache-control"] == "no-store", where
    assert [name for name in headers if name in ("server", "x-powered-by")] == [], where


def test_every_answer_of_the_contract_has_safe_headers(school: SchoolOfTest) -> None:
    callers = {
        "nobody": As(school.service.api, ""),
        "owner": school.owner,
        "operator": school.service.operator,
    }
    statuses: set[int] = set()
    for asked in of_the_contract(school):
        for caller in callers.values():
            response = caller.send(asked.method, asked.path, **asked.options())
            check_headers(asked, response)
            statuses.add(response.status_code)
        check_headers(asked, school.service.api.send("OPTIONS", asked.path))
        check_headers(asked, school.owner.send("PATCH", asked.path))
        check_headers(asked, school.owner.send(asked.method, asked.path + "/nothing"))
    made = school.owner.make("/v1/tokens", {"for_whom": "me"})
    tag = {"If-None-Match": '"1"'}
    student = school.student()["id"]
    for method, path, headers, status in (
        ("DELETE", f"/v1/tokens/{made['token']['id']}", {}, 204),
        ("GET", f"/v1/students/{student}", tag, 304),
        ("HEAD", f"/v1/students/{student}", {}, 200),
    ):
        response = school.owner.send(method, path, headers=headers)
        assert response.status_code == status
        asked = next(asked for asked in of_the_contract(school) if asked.operation.stored)
        check_headers(asked, response)
        statuses.add(status)
    assert {200, 201, 204, 304, 401, 403, 404} <= statuses


def test_what_is_stored_asks_for_a_token_and_says_how(school: SchoolOfTest) -> None:
    stored = [asked for asked in of_the_contract(school) if asked.operation.stored]
    stored = [asked for asked in stored if asked.operation.needs_token]
    assert len(stored) >= 40
    for asked in stored:
        response = school.service.api.send(asked.method, asked.path, **asked.options())
        problem_in(response, "no-token")
        assert response.headers["www-authenticate"].startswith("Bearer")
