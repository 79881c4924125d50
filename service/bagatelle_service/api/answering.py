"""Answers as bytes: encoded once, tagged where they may be kept."""

import hashlib
from collections.abc import Callable
from typing import Any, Final, TypeVar

import msgspec
from bagatelle import Instruments
from litestar import Request, Response

from bagatelle_service.api.operation import JSON, example_bytes

KEEP: Final = "private, max-age=60"

Asked = TypeVar("Asked")


def answer_to(
    body: bytes,
    decode: Callable[[bytes], Asked],
    call: Callable[[Asked, Instruments], Any],
    instruments: Instruments,
) -> Callable[[], bytes]:
    """What answers a body: decoding, the call and encoding, all of which would hold up the event loop."""
    return lambda: msgspec.json.encode(call(decode(body), instruments))


def example_answer(
    name: str, decode: Callable[[bytes], Asked], call: Callable[[Asked, Instruments], Any]
) -> Callable[[], Any]:
    """The engine's own answer to an example, with no plugin: it cannot differ from what the service says."""
    return lambda: msgspec.json.decode(answer_to(example_bytes(name), decode, call, Instruments.none())())


def json_answer(body: bytes) -> Response[bytes]:
    """Send JSON that is encoded already."""
    return Response(body, media_type=JSON)


def tagged_answer(request: Request[Any, Any, Any], body: bytes) -> Response[bytes]:
    """Send JSON with its ETag, or 304 where the client has it."""
    tag = '"' + hashlib.sha256(body).hexdigest()[:32] + '"'
    headers = {"ETag": tag, "Cache-Control": KEEP}
    if _has(request.headers.get("if-none-match", ""), tag):
        return Response(b"", status_code=304, media_type=JSON, headers=headers)
    return Response(body, media_type=JSON, headers=headers)


def _has(if_none_match: str, tag: str) -> bool:
    # RFC 9110, 13.1.2: a list of tags compared weakly, or `*`.
    known = [part.strip().removeprefix("W/") for part in if_none_match.split(",")]
    return tag in known or known == ["*"]
