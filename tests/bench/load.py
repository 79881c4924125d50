"""The load, in a process of its own: so many requests over a few connections that are kept alive.

`python -m tests.bench.load PORT PATH CONNECTIONS < bodies`, one JSON body a line; prints one JSON object with
the seconds of the whole and of each request. Each connection sends its next request when it has its answer.
"""

import asyncio
import sys
from collections.abc import Iterable, Iterator
from time import perf_counter

import msgspec


class Load(msgspec.Struct, frozen=True):
    """What was measured."""

    whole_seconds: float
    request_seconds: list[float]
    answer_bytes: int


async def send_all(port: int, connections: int, requests: Iterable[bytes]) -> Load:
    """Send every request once, each as it goes over the wire.

    Raises
    ------
    RuntimeError
        An answer was neither 200 nor 201.
    """
    waiting = iter(requests)
    start = perf_counter()
    parts = await asyncio.gather(*(_one_connection(port, waiting) for _ in range(connections)))
    whole = perf_counter() - start
    return Load(
        whole_seconds=whole,
        request_seconds=[seconds for times, _ in parts for seconds in times],
        answer_bytes=sum(size for _, size in parts),
    )


async def _one_connection(port: int, waiting: Iterator[bytes]) -> tuple[list[float], int]:
    reader, writer = await asyncio.open_connection("127.0.0.1", port, limit=2**22)
    times = []
    total = 0
    try:
        for request in waiting:
            start = perf_counter()
            writer.write(request)
            total += await _read_answer(reader)
            times.append(perf_counter() - start)
    finally:
        writer.close()
        await writer.wait_closed()
    return times, total


async def _read_answer(reader: asyncio.StreamReader) -> int:
    """Read one answer to its end; its size."""
    head = await reader.readuntil(b"\r\n\r\n")
    status, *lines = head.decode("latin-1").split("\r\n")
    headers = dict(line.lower().split(": ", 1) for line in lines if line)
    body = await reader.readexactly(int(headers["content-length"]))
    if status.split(" ")[1] not in ("200", "201"):
        raise RuntimeError(f"{status}: {body.decode(errors='replace')[:500]}")
    return len(body)


def _posted(path: str, body: bytes) -> bytes:
    head = (
        f"POST {path} HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Type: application/json\r\n"
        f"Content-Length: {len(body)}\r\n\r\n"
    )
    return head.encode() + body


if __name__ == "__main__":
    port_text, target, connections_text = sys.argv[1:]
    posted = [_posted(target, body) for body in sys.stdin.buffer.read().splitlines()]
    load = asyncio.run(send_all(int(port_text), int(connections_text), posted))
    sys.stdout.buffer.write(msgspec.json.encode(load))
