"""What work on a school comes to."""

import hashlib
from typing import Any

import msgspec
from msgspec import Struct


class Made(Struct, frozen=True, kw_only=True):
    """An answer: its body, encoded, and what goes with it."""

    body: bytes
    etag: str | None = None
    location: str | None = None
    is_new: bool = False
    """Whether a PUT made what it names."""


def made(
    answer: Struct,
    revision: int | None = None,
    location: str | None = None,
    *,
    besides: Any = None,
    is_new: bool = False,
) -> Made:
    """Encode an answer.

    :param revision: of what the answer shows, where it can be changed; its ETag.
    :param location: the path of what was made, where the answer shows that.
    :param besides: what of the answer changes without a new revision, where it says something: the ETag then tells
        that too, and If-Match goes by the revision in it alone.
    :param is_new: whether a PUT made what it names.
    """
    tag = None if revision is None else etag_of(revision, besides)
    return Made(body=msgspec.json.encode(answer), etag=tag, location=location, is_new=is_new)


def etag_of(revision: int, besides: Any = None) -> str:
    """Make an ETag, as `made` does."""
    more = f".{hashlib.sha256(msgspec.json.encode(besides)).hexdigest()[:8]}" if besides else ""
    return f'"{revision}{more}"'
