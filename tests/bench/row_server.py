"""The real service under its real server program, with one route more: one row read by its key.

`python -m tests.bench.row_server PORT` serves on loopback until it is stopped. The route is asked with a token and
stands behind the service's own guard, so that what is compared is what handlers do.
"""

import sys
from typing import Any
from uuid import UUID

import msgspec
from bagatelle import load_instruments
from bagatelle_service.api.access import caller_of
from bagatelle_service.app import create_app
from bagatelle_service.database.connection import connect, database_url
from bagatelle_service.database.storage import Storage
from bagatelle_service.database.tables import Student
from bagatelle_service.frame import Frame
from bagatelle_service.memory import keep_what_is_loaded
from bagatelle_service.settings import settings_from_environment
from litestar import Request, Response, get

from tests.bench.serving import serve

ROW_PATH = "/v1/row"


def create() -> Frame:
    """Make the application; a server loads this."""
    settings = settings_from_environment()
    engine = connect(database_url(settings.database_url))
    storage = Storage(engine)

    @get(ROW_PATH + "/{student_id:str}")
    async def row(request: Request[Any, Any, Any]) -> Response[bytes]:
        """Answer with a few columns of one row, found by its key alone."""
        school_id = caller_of(request).school_id
        async with storage.read(school_id) as session:
            found = await session.get_one(Student, (school_id, UUID(request.path_params["student_id"])))
        body = msgspec.json.encode({"id": found.id, "key": found.key, "time_zone": found.time_zone})
        return Response(body, media_type="application/json")

    frame = create_app(settings, load_instruments(), database=engine, extra_routes=[row])
    keep_what_is_loaded()
    return frame


if __name__ == "__main__":
    serve("tests.bench.row_server:create", int(sys.argv[1]))
