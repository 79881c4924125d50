"""The load of requests that only read, in a process of its own, over a few connections kept alive.

`python -m tests.bench.get_load PORT CONNECTIONS < paths`, one path a line; prints one JSON object, as
`tests.bench.load` does.
"""

import asyncio
import sys

import msgspec

from tests.bench.load import send_all


def _written(path: bytes) -> bytes:
    return b"GET " + path + b" HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n"


if __name__ == "__main__":
    port_text, connections_text = sys.argv[1:]
    requests = [_written(path) for path in sys.stdin.buffer.read().splitlines()]
    sys.stdout.buffer.write(
        msgspec.json.encode(asyncio.run(send_all(int(port_text), int(connections_text), requests)))
    )
