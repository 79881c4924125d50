"""The load with a token, in a process of its own: any methods and paths, over a few connections kept alive.

`python -m tests.bench.token_load PORT CONNECTIONS < requests`, one JSON object a line (`TokenRequest`), the token
in the environment; prints one JSON object, as `tests.bench.load` does.
"""

import asyncio
import os
import sys

import msgspec

from tests.bench.load import Load, send_all

SHOWN_BY = "BENCH_TOKEN"
"""The environment variable that the token is in."""


class TokenRequest(msgspec.Struct, frozen=True):
    """One request."""

    method: str
    path: str
    body: str = ""
    if_match: str = ""


async def measure(port: int, connections: int, requests: list[TokenRequest], token: str) -> Load:
    """Send every request once; raises what `send_all` raises."""
    return await send_all(port, connections, [_written(request, token) for request in requests])


def _written(request: TokenRequest, token: str) -> bytes:
    body = request.body.encode()
    lines = [f"{request.method} {request.path} HTTP/1.1", "Host: 127.0.0.1", f"Authorization: Bearer {token}"]
    if request.if_match:
        lines.append(f"If-Match: {request.if_match}")
    if body:
        lines += ["Content-Type: application/json", f"Content-Length: {len(body)}"]
    return "\r\n".join([*lines, "", ""]).encode() + body


if __name__ == "__main__":
    port_text, connections_text = sys.argv[1:]
    read = [msgspec.json.decode(line, type=TokenRequest) for line in sys.stdin.buffer.read().splitlines()]
    load = asyncio.run(measure(int(port_text), int(connections_text), read, os.environ[SHOWN_BY]))
    sys.stdout.buffer.write(msgspec.json.encode(load))
