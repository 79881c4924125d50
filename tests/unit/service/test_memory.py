"""A process that serves keeps what it has loaded out of the search for garbage."""

import os
import subprocess
import sys
from pathlib import Path

PROGRAM = """
import gc
from bagatelle_service.asgi import create
frame = create()
print(gc.get_freeze_count(), len(gc.get_objects()))
"""


def test_what_is_loaded_is_kept(tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-c", PROGRAM],
        env=os.environ | {"BAGATELLE_DATABASE_URL": f"sqlite:///{tmp_path}/kept.sqlite3"},
        capture_output=True,
        text=True,
        timeout=60,
        check=True,
    )
    kept, searched = map(int, done.stdout.split())
    assert kept > 10 * searched
