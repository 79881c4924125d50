"""The load with a token, in a process of its own: any methods and paths, over a few connections kept alive.

`python -m tests.bench.token_load PORT CONNECTIONS < requests`, one JSON object a line (`TokenRequest`), the token
in the environment; prints one JSON object, as `tests.bench.load` does.
"""

import asyncio
import os
import sys
from collections.abc import Iterator
from time import perf_counter

import msgspec

from tests.bench.load import Load, read_answer

SHOWN_BY = "BENCH_TOKEN"
"""The environment variable that the token is in."""


class TokenRequest(msgspec.Struct, frozen=True):
    """One request."""

    method: str
    path: str
    body: str = ""
    if_match: str = ""


async def measure(port: int, connections: int, requests: list[TokenRequest], token: str) -> Load:
    """Send every request once.

    Raises
    ------
    RuntimeError
        An answer was neither 200 nor 201.
    """
    waiting = iter(requests)
    start = perf_counter()
    parts = await asyncio.gather(*(_one_connection(port, waiting, token) for _ in range(connections)))
    whole = perf_counter() - start
    return Load(
        whole_seconds=whole,
        request_seconds=[seconds for times, _ in parts for seconds in times],
        answer_bytes=sum(size for _, size in parts),
    )


async def _one_connection(port: int, waiting: Iterator[TokenRequest], token: str) -> tuple[list[float], int]:
    reader, writer = await asyncio.open_connection("127.0.0.1", port, limit=2**22)
    times = []
    total = 0
    try:
        for request in waiting:
            start = perf_counter()
            writer.write(_written(request, token))
            total += await read_answer(reader)
            times.append(perf_counter() - start)
    finally:
        writer.close()
    return times, total


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
