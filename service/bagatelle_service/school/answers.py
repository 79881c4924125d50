"""What work on a school comes to."""

import msgspec
from msgspec import Struct


class Made(Struct, frozen=True, kw_only=True):
    """An answer: its body, encoded, and what goes with it."""

    body: bytes
    etag: str | None = None
    location: str | None = None


def made(answer: Struct, revision: int | None = None, location: str | None = None) -> Made:
    """Encode an answer.

    :param revision: of what the answer shows, where it can be changed; its ETag.
    :param location: the path of what was made, where the answer shows that.
    """
    tag = None if revision is None else f'"{revision}"'
    return Made(body=msgspec.json.encode(answer), etag=tag, location=location)
