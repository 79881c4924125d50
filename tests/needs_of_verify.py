"""`python -m tests.needs_of_verify`: what `make verify` needs is there, or it is said what is absent."""

import os
import shlex
import shutil
import sys
import sysconfig
from collections.abc import Iterator
from pathlib import Path

import psycopg

from tests.browser.chromium import NAMES, chromium
from tests.integration.databases import POSTGRESQL_VARIABLE


def main() -> int:
    """Print one line for each thing that is absent; 1 where there is any."""
    absent = list(what_is_absent())
    for line in absent:
        print(f"make verify needs {line}", file=sys.stderr)
    return 1 if absent else 0


def what_is_absent() -> Iterator[str]:
    if chromium() is None:
        yield f"Chromium, for the docs page: one of {', '.join(NAMES)} on the path."
    for command in ("node", "npm"):
        if shutil.which(command) is None:
            yield f"Node.js, for the walk in TypeScript: {command} on the path."
    yield from _absent_for_compiling()
    url = os.environ.get(POSTGRESQL_VARIABLE, "")
    if not url:
        yield f"a PostgreSQL: set {POSTGRESQL_VARIABLE}."
        return
    try:
        with psycopg.connect(url, connect_timeout=10) as connection:
            may = connection.execute("SELECT rolsuper FROM pg_roles WHERE rolname = current_user").fetchone()
    except psycopg.Error as error:
        yield f"a PostgreSQL, and the one of {POSTGRESQL_VARIABLE} does not answer: {error}"
        return
    if may != (True,):
        # A role that the service must refuse to serve with can be made by a superuser alone.
        yield f"a PostgreSQL whose user is a superuser; the one of {POSTGRESQL_VARIABLE} is none."


def _absent_for_compiling() -> Iterator[str]:
    compiler = shlex.split(os.environ.get("CC") or sysconfig.get_config_var("CC") or "cc")[0]
    if shutil.which(compiler) is None:
        yield f"a C compiler, for the compiled engine: {compiler} on the path."
    if not Path(sysconfig.get_path("include"), "Python.h").exists():
        yield "the C headers of this Python, for the compiled engine (Debian: python3-dev)."


if __name__ == "__main__":
    sys.exit(main())
