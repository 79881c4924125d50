"""Which web pages of other origins may read the answers (CORS): none until a deployment lists them.

As the Fetch standard has it (fetch.spec.whatwg.org, "CORS protocol"). Tokens travel in the header Authorization and
never in cookies, so credentials in the sense of that standard are not allowed.
"""

import re
from collections.abc import Iterable, Iterator
from typing import Final

from msgspec import Struct

Header = tuple[bytes, bytes]

_ORIGIN: Final = re.compile(r"https://[a-z0-9]([a-z0-9.-]{0,251}[a-z0-9])?(:[1-9][0-9]{0,4})?")
_ACCEPTED: Final = (
    "https://HOST or https://HOST:PORT in small letters, without a path, several with commas between"
)
REQUEST_HEADERS: Final = (
    b"Authorization, Content-Type, Idempotency-Key, If-Match, If-None-Match, X-Request-Id"
)
ANSWER_HEADERS: Final = b"ETag, Location, Retry-After, X-Request-Id"
_PREFLIGHT_SECONDS: Final = b"600"


class WrongOriginError(ValueError):
    """The list of origins cannot be used. Says what would be accepted."""


def read_origins(text: str) -> frozenset[bytes]:
    """Read a list of origins, with commas between; empty: none.

    :raises WrongOriginError: where one of them is none, or stands for all.
    """
    given = [part.strip() for part in text.split(",")] if text.strip() else []
    for origin in given:
        if origin == "*":
            raise WrongOriginError(
                "'*' would let every web page in the world send the tokens of whoever uses it; list the origins: "
                + _ACCEPTED
            )
        if not _ORIGIN.fullmatch(origin) or _port(origin) > 65535:
            raise WrongOriginError(f"{origin!r} is no origin; accepted: {_ACCEPTED}")
        if origin.endswith(":443"):
            raise WrongOriginError(
                f"{origin!r}: browsers leave the port 443 out, so this would match nothing"
            )
    return frozenset(origin.encode() for origin in given)


def _port(origin: str) -> int:
    _, _, port = origin.removeprefix("https://").partition(":")
    return int(port or 0)


class Origins(Struct, frozen=True):
    """The headers by which a browser lets a listed page read an answer."""

    allowed: frozenset[bytes]

    def of_request(self, headers: Iterable[Header]) -> bytes | None:
        """Name the origin of a request; None where it has none that is listed."""
        found = [value for name, value in headers if name.lower() == b"origin"]
        return found[0] if len(found) == 1 and found[0] in self.allowed else None

    def of_answer(self, origin: bytes | None) -> Iterator[Header]:
        """The headers of any answer, errors too."""
        if not self.allowed:
            return
        # The answer differs by origin even where this one is not listed.
        yield b"vary", b"Origin"
        if origin is not None:
            yield b"access-control-allow-origin", origin
            yield b"access-control-expose-headers", ANSWER_HEADERS


def preflight(methods: bytes) -> list[Header]:
    """The headers of the answer to a browser that asks before it sends."""
    return [
        (b"access-control-allow-methods", methods),
        (b"access-control-allow-headers", REQUEST_HEADERS),
        (b"access-control-max-age", _PREFLIGHT_SECONDS),
    ]


def is_preflight(headers: Iterable[Header]) -> bool:
    """Tell whether an OPTIONS is a browser's that asks before it sends."""
    return any(name.lower() == b"access-control-request-method" for name, _ in headers)
