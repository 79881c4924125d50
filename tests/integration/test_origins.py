"""Web pages of other origins (CORS), as the Fetch standard has it (fetch.spec.whatwg.org, "CORS protocol")."""

from collections.abc import Iterator

import httpx
import pytest
from bagatelle_service.settings import Settings

from tests.integration.api_client import ApiClient, api_client

LISTED, OTHER = "https://app.example", "https://other.example"
ASKS_FIRST = {
    "Access-Control-Request-Method": "PUT",
    "Access-Control-Request-Headers": "authorization,if-match",
}
# (method, path, status): a plain answer, one without content, a refusal, nothing there, a wrong method, a fault of
# the body, a path that is not decoded.
ANSWERS = [
    ("GET", "/health/live", 200),
    ("HEAD", "/health/live", 200),
    ("OPTIONS", "/v1/students", 204),
    ("GET", "/v1/students", 401),
    ("GET", "/v1/nothing", 404),
    ("DELETE", "/v1/students", 405),
    ("POST", "/v1/compressions", 415),
    ("GET", "/docs", 200),
]


@pytest.fixture
def listed() -> Iterator[ApiClient]:
    settings = Settings(
        open=True, database_url="sqlite://", cors_origins=f"{LISTED},https://second.example:8443"
    )
    with api_client(settings) as client:
        yield client


def cors_headers(response: httpx.Response) -> dict[str, str]:
    names = ("access-control-", "vary", "cross-origin-resource-policy")
    return {name: value for name, value in response.headers.items() if name.startswith(names)}


def words(text: str) -> set[str]:
    return {part.strip() for part in text.split(",")}


@pytest.mark.parametrize(("method", "path", "status"), ANSWERS)
@pytest.mark.parametrize("headers", [{}, {"Origin": LISTED}, {"Origin": LISTED, **ASKS_FIRST}], ids=len)
def test_without_a_list_there_is_no_such_header(
    api: ApiClient, method: str, path: str, status: int, headers: dict[str, str]
) -> None:
    response = api.send(method, path, headers=headers)
    assert response.status_code == status
    assert cors_headers(response) == {"cross-origin-resource-policy": "same-origin"}


@pytest.mark.parametrize(("method", "path", "status"), ANSWERS)
def test_a_listed_origin_reads_every_answer(listed: ApiClient, method: str, path: str, status: int) -> None:
    response = listed.send(method, path, headers={"Origin": LISTED})
    found = cors_headers(response)
    assert response.status_code == status
    exposed = words(found.pop("access-control-expose-headers"))
    assert exposed == {"ETag", "Location", "Retry-After", "X-Request-Id"}
    assert found == {
        "access-control-allow-origin": LISTED,
        "vary": "Origin",
        "cross-origin-resource-policy": "cross-origin",
    }


@pytest.mark.parametrize(
    "origin",
    [
        None,
        OTHER,
        "null",
        "*",
        f"{LISTED}:8443",
        f"{LISTED}.evil.example",
        "http://app.example",
        LISTED.upper(),
    ],
)
@pytest.mark.parametrize("more", [{}, ASKS_FIRST], ids=["asks", "asks first"])
def test_another_origin_gets_nothing(listed: ApiClient, origin: str | None, more: dict[str, str]) -> None:
    headers = {**more, **({} if origin is None else {"Origin": origin})}
    for method, path, status in ANSWERS:
        response = listed.send(method, path, headers=headers)
        assert response.status_code == status
        assert cors_headers(response) == {"vary": "Origin", "cross-origin-resource-policy": "same-origin"}


def test_two_origins_at_once_are_none(listed: ApiClient) -> None:
    response = listed.get("/health/live", headers=[("Origin", LISTED), ("Origin", OTHER)])
    assert "access-control-allow-origin" not in response.headers


@pytest.mark.parametrize(
    ("path", "methods"),
    [
        ("/v1/students", {"GET", "HEAD", "POST", "OPTIONS"}),
        ("/v1/students/5b0c6a9e-2f0d-4c0e-9a43-7d1f0f6c2b11", {"GET", "HEAD", "PUT", "OPTIONS"}),
        ("/v1/compressions", {"POST", "OPTIONS"}),
    ],
)
def test_a_browser_that_asks_first_is_told_what_it_may_send(
    listed: ApiClient, path: str, methods: set[str]
) -> None:
    response = listed.send("OPTIONS", path, headers={"Origin": "https://second.example:8443", **ASKS_FIRST})
    assert (response.status_code, response.content) == (204, b"")
    headers = response.headers
    assert headers["access-control-allow-origin"] == "https://second.example:8443"
    assert methods <= words(headers["access-control-allow-methods"])
    assert words(headers["access-control-allow-headers"]) == {
        "Authorization",
        "Content-Type",
        "Idempotency-Key",
        "If-Match",
        "If-None-Match",
        "X-Request-Id",
    }
    assert int(headers["access-control-max-age"]) > 0
    # Cookies are never meant: tokens travel in a header that the page sets itself.
    assert "access-control-allow-credentials" not in headers


def test_only_who_asks_first_is_told_that(listed: ApiClient) -> None:
    plain = listed.send("OPTIONS", "/v1/students", headers={"Origin": LISTED})
    assert "access-control-allow-methods" not in plain.headers
    nowhere = listed.send("OPTIONS", "/v1/nothing", headers={"Origin": LISTED, **ASKS_FIRST})
    assert nowhere.status_code == 404
    assert "access-control-allow-methods" not in nowhere.headers
