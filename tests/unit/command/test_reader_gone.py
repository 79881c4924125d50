"""Whoever reads may stop early, as `head` does: no traceback, and the exit code says what it always says."""

import json
import os
import subprocess
import sys
from pathlib import Path

import msgspec
import pytest

from tests.unit.verify.hand_made import ten_minutes

ROUTINE = {"routine": {"blocks": [{"title": "Scales", "minutes": 20}, {"title": "Waltz", "minutes": 40}]}}


def run_without_reader(*words: str) -> subprocess.CompletedProcess[str]:
    """Run the command with a standard output that nobody reads any more."""
    reading, writing = os.pipe()
    os.close(reading)
    try:
        return subprocess.run(
            [sys.executable, "-m", "bagatelle.command.main", *words],
            stdout=writing,
            stderr=subprocess.PIPE,
            text=True,
            timeout=60,
            check=False,
        )
    finally:
        os.close(writing)


@pytest.mark.parametrize("options", [(), ("--json",)])
def test_plan(tmp_path: Path, options: tuple[str, ...]) -> None:
    file = tmp_path / "routine.json"
    file.write_text(json.dumps(ROUTINE))
    done = run_without_reader("plan", str(file), *options)
    assert (done.returncode, done.stderr) == (0, "")


@pytest.mark.parametrize("options", [(), ("--json",)])
def test_verify(tmp_path: Path, options: tuple[str, ...]) -> None:
    file = tmp_path / "answer.json"
    file.write_bytes(msgspec.json.encode(ten_minutes()))
    done = run_without_reader("verify", str(file), *options)
    assert (done.returncode, done.stderr) == (0, "")
