"""The real service with a made-up catalogue, its size in the environment.

`python -m tests.bench.search_server PORT` serves on loopback until it is stopped.
"""

import os
import sys

from bagatelle_service.app import create_app
from bagatelle_service.frame import Frame
from bagatelle_service.memory import keep_what_is_loaded
from bagatelle_service.settings import settings_from_environment

from tests.bench.catalogues import made_up
from tests.bench.serving import serve

SIZE_BY = "BENCH_EXERCISES"
"""The environment variable that the number of exercises is in."""


def create() -> Frame:
    """Make the application; a server loads this."""
    frame = create_app(settings_from_environment(), made_up(int(os.environ[SIZE_BY])))
    keep_what_is_loaded()
    return frame


if __name__ == "__main__":
    serve("tests.bench.search_server:create", int(sys.argv[1]))
