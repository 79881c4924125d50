"""Answers as bytes: encoded once, tagged where they may be kept."""

import hashlib
from collections.abc import Callable
from typing import Any, Final

import msgspec
from bagatelle import Instruments
from litestar import Request, Response

from bagatelle_service.api.operation import JSON, example_bytes
from bagatelle_service.engine_questions import Question, answer_to

KEEP: Final = "private, max-age=60"
ASK_AGAIN: Final = "private, max-age=0, must-revalidate"
"""It may be kept, and is asked about before it is used again."""


def example_answer(name: str, question: Question) -> Callable[[], Any]:
    """The engine's own answer to an example, with no plugin: it cannot differ from what the service says."""
    return lambda: msgspec.json.decode(answer_to(question, example_bytes(name), Instruments.none()))


def json_answer(body: bytes) -> Response[bytes]:
    """Send JSON that is encoded already."""
    return Response(body, media_type=JSON)


def tagged_answer(request: Request[Any, Any, Any], body: bytes, *, keep: str = KEEP) -> Response[bytes]:
    """Send JSON with its ETag, or 304 where the client has it."""
    tag = '"' + hashlib.sha256(body).hexdigest()[:32] + '"'
    headers = {"ETag": tag, "Vary": "Authorization", "Cache-Control": keep}
    if matches(request.headers.get("if-none-match", ""), tag):
        return Response(b"", status_code=304, media_type=JSON, headers=headers)
    return Response(body, media_type=JSON, headers=headers)


def matches(if_none_match: str, tag: str) -> bool:
    """Tell whether a client has what a tag names."""
    # RFC 9110, 13.1.2: a list of tags compared weakly, or `*`.
    known = [part.strip().removeprefix("W/") for part in if_none_match.split(",")]
    return tag in known or known == ["*"]
