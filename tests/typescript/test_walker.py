"""A walker in TypeScript, with no library beside it, makes every sheet of the test vectors."""

import shutil
import subprocess
from pathlib import Path

import pytest

from tests.vectors.day_sheets import FILE

FOLDER = Path(__file__).parent


@pytest.mark.typescript
def test_it_makes_every_sheet(tmp_path: Path) -> None:
    for path in FOLDER.iterdir():
        if path.suffix in {".ts", ".json"} or path.name == ".npmrc":
            shutil.copy(path, tmp_path)
    _run("npm", "ci", "--no-audit", "--no-fund", "--ignore-scripts", folder=tmp_path)
    _run("npm", "run", "build", folder=tmp_path)
    said = _run("node", "built/run.js", str(FILE), folder=tmp_path)
    assert "sheets are as they should be" in said


def _run(*command: str, folder: Path) -> str:
    done = subprocess.run(command, cwd=folder, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout
