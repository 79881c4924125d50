"""A server with a route that reads one row by its key, and loads on it: what other handlers are compared with."""

import os
import subprocess
import sys
from contextlib import AbstractContextManager
from pathlib import Path
from typing import Final

import msgspec

from tests.bench.bench_server import ROOT, Running, running
from tests.bench.load import Load
from tests.bench.token_load import SHOWN_BY, TokenRequest

CONNECTIONS: Final = 4


def row_server(url: str, folder: Path) -> AbstractContextManager[Running]:
    """Start the service on a free port of loopback; stop it at the end."""
    settings = {"BAGATELLE_DATABASE_URL": url, "BAGATELLE_REQUESTS_A_MINUTE": "1000000"}
    return running("tests.bench.row_server", folder, **settings)


def loaded(port: int, secret: str, requests: list[TokenRequest]) -> Load:
    """Send requests with a token from a process of its own, and say how long they took."""
    done = subprocess.run(
        [sys.executable, "-m", "tests.bench.token_load", str(port), str(CONNECTIONS)],
        cwd=ROOT,
        env=os.environ | {SHOWN_BY: secret},
        input=b"\n".join(map(msgspec.json.encode, requests)),
        stdout=subprocess.PIPE,
        check=True,
        timeout=200,
    )
    return msgspec.json.decode(done.stdout, type=Load)


def rate(load: Load) -> float:
    """Requests a second."""
    return len(load.request_seconds) / load.whole_seconds
