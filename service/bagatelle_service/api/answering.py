"""Answers as bytes: encoded once, tagged where they may be kept."""

import hashlib
from typing import Any, Final

from litestar import Request, Response

from bagatelle_service.api.operation import JSON

KEEP: Final = "private, max-age=60"


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
