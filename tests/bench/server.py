"""The real service under its real server program, with one route more: a body decoded and encoded again.

`python -m tests.bench.server PORT` serves on loopback until it is stopped. The settings of the server are those
of `bagatelle serve` with one worker.
"""

import sys
from typing import Any

import msgspec
from bagatelle import load_instruments
from bagatelle.model.request import CompressionRequest
from bagatelle_service.app import create_app
from bagatelle_service.engine_processes import processes_of
from bagatelle_service.frame import Frame
from bagatelle_service.memory import keep_what_is_loaded
from bagatelle_service.settings import settings_from_environment
from litestar import Request, Response, post

from tests.bench.serving import serve

ECHO_PATH = "/v1/echo"


@post(ECHO_PATH, status_code=200)
async def echo(request: Request[Any, Any, Any]) -> Response[bytes]:
    """Answer with the request as it was understood: decoded to its type and encoded again, nothing else."""
    decoded = msgspec.json.decode(await request.body(), type=CompressionRequest)
    return Response(msgspec.json.encode(decoded), media_type="application/json")


def create() -> Frame:
    """Make the application; a server loads this."""
    settings = settings_from_environment()
    frame = create_app(settings, load_instruments(), processes=processes_of(settings), extra_routes=[echo])
    keep_what_is_loaded()
    return frame


if __name__ == "__main__":
    serve("tests.bench.server:create", int(sys.argv[1]))
