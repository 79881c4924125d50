"""The outermost layer: request ids, HEAD and OPTIONS, headers that every answer carries, one log line each."""

import logging
import re
import time
import uuid
from collections import defaultdict
from collections.abc import Iterable
from typing import NamedTuple

import msgspec
from litestar import Litestar
from litestar.enums import ScopeType
from litestar.types import HTTPScope, Message, Receive, Scope, Send

from bagatelle_service.api.errors import problem_of
from bagatelle_service.api.problems import PROBLEM_MEDIA_TYPE
from bagatelle_service.origins import Origins, is_preflight, preflight

logger = logging.getLogger("bagatelle_service.requests")
fault_logger = logging.getLogger("bagatelle_service.problems")

SANE_REQUEST_ID = re.compile(r"[A-Za-z0-9._-]{1,64}")
REQUEST_ID = b"x-request-id"
ALWAYS = (
    (b"x-content-type-options", b"nosniff"),
    (b"referrer-policy", b"no-referrer"),
)
RESOURCE_POLICY = b"cross-origin-resource-policy"
UNLESS_SET = (
    (b"content-security-policy", b"default-src 'none'; frame-ancestors 'none'"),
    (b"cache-control", b"no-store"),
)


class Frame:
    """The ASGI application that a server runs: the routes, framed."""

    def __init__(self, litestar: Litestar, origins: Origins) -> None:
        self.litestar = litestar
        self._origins = origins
        self._routes = _routes(litestar)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Serve one connection, or the lifespan."""
        if scope["type"] != ScopeType.HTTP:
            await self.litestar(scope, receive, send)
            return
        answer = _Answer(scope, send, self._route_of(scope["path"]), self._origins)
        scope.setdefault("state", {})["request_id"] = answer.request_id
        try:
            await self._serve(scope, receive, answer)
        except Exception as error:
            if answer.status:
                raise  # too late for another answer; the server cuts the connection
            await answer.fail(error)
        finally:
            answer.log()

    async def _serve(self, scope: HTTPScope, receive: Receive, answer: "_Answer") -> None:
        if scope["method"] == "OPTIONS" and answer.methods:
            await answer.send_options(scope)
            return
        if scope["method"] == "HEAD" and "GET" in answer.methods:
            # What GET would say, without its body (RFC 9110, 9.3.2).
            scope["method"] = "GET"
            answer.bodiless = True
        await self.litestar(scope, receive, answer.send)

    def allowed_methods(self, path: str) -> frozenset[str]:
        """List the methods that a path takes; none where nothing is at the path."""
        return self._route_of(path).methods

    def _route_of(self, path: str) -> "_Route":
        plain = path.rstrip("/") or "/"
        return next((route for route in self._routes if route.pattern.fullmatch(plain)), _NO_ROUTE)


class _Answer:
    """One answer on its way out."""

    def __init__(self, scope: HTTPScope, send: Send, route: "_Route", origins: Origins) -> None:
        self.method: str = scope["method"]
        self.origin = origins.of_request(scope["headers"])
        self.route = route.path
        self.methods = route.methods
        self.request_id = _request_id(scope["headers"])
        self.bodiless = False
        self.status = 0
        self._send = send
        self._origins = origins
        self._began = time.perf_counter()

    async def send(self, message: Message) -> None:
        if message["type"] == "http.response.start":
            self.status = message["status"]
            message["headers"] = [*message["headers"], *self._headers(message["headers"])]
        elif message["type"] == "http.response.body" and self.bodiless:
            if message.get("more_body"):
                return
            message["body"] = b""
        await self._send(message)

    def _headers(self, given: Iterable[tuple[bytes, bytes]]) -> Iterable[tuple[bytes, bytes]]:
        names = {name.lower() for name, _ in given}
        yield REQUEST_ID, self.request_id.encode()
        yield from ALWAYS
        yield RESOURCE_POLICY, b"same-origin" if self.origin is None else b"cross-origin"
        yield from self._origins.of_answer(self.origin)
        yield from (header for header in UNLESS_SET if header[0] not in names)
        if self.status == 405:
            yield b"allow", _allow(self.methods)

    async def send_options(self, scope: HTTPScope) -> None:
        allow = _allow(self.methods)
        asks_first = self.origin is not None and is_preflight(scope["headers"])
        await self.send_all(204, [(b"allow", allow), *(preflight(allow) if asks_first else [])], b"")

    async def send_all(self, status: int, headers: list[tuple[bytes, bytes]], body: bytes) -> None:
        await self.send({"type": "http.response.start", "status": status, "headers": headers})
        await self.send({"type": "http.response.body", "body": body, "more_body": False})

    async def fail(self, error: Exception) -> None:
        fault_logger.error("request %s failed", self.request_id, exc_info=error)
        problem = problem_of(error, self.request_id)
        body = msgspec.json.encode(problem)
        headers = [
            (b"content-type", PROBLEM_MEDIA_TYPE.encode()),
            (b"content-length", str(len(body)).encode()),
        ]
        await self.send_all(problem.status, headers, body)

    def log(self) -> None:
        milliseconds = (time.perf_counter() - self._began) * 1000
        # The route, not the path: the path may name a student, or be anything at all.
        logger.info(
            "%s %s %d %.1f ms %s", self.method, self.route, self.status, milliseconds, self.request_id
        )


def _request_id(headers: Iterable[tuple[bytes, bytes]]) -> str:
    for name, value in headers:
        if name.lower() == REQUEST_ID and SANE_REQUEST_ID.fullmatch(text := value.decode("latin-1")):
            return text
    return str(uuid.uuid4())


def _allow(methods: frozenset[str]) -> bytes:
    return ", ".join(sorted(methods)).encode()


class _Route(NamedTuple):
    pattern: re.Pattern[str]
    path: str
    methods: frozenset[str]


_NO_ROUTE = _Route(re.compile(""), "(no route)", frozenset())


def _routes(litestar: Litestar) -> list[_Route]:
    found: dict[str, set[str]] = defaultdict(set)
    for route in litestar.routes:
        if (methods := getattr(route, "methods", None)) is not None:
            found[route.path_format] |= set(methods) | {"OPTIONS"}
    # Fixed paths before those with a gap, as the router has it.
    ordered = sorted(found.items(), key=lambda entry: "{" in entry[0])
    return [
        _Route(_pattern(path), path, frozenset(methods | {"HEAD"} if "GET" in methods else methods))
        for path, methods in ordered
    ]


def _pattern(path: str) -> re.Pattern[str]:
    parts = re.split(r"(\{[^}]*\})", path)
    return re.compile("".join("[^/]+" if part.startswith("{") else re.escape(part) for part in parts))
