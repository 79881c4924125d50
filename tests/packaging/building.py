"""Builds what would be published: of each distribution the source distribution, and the wheel out of that."""

import subprocess
import sys
import tarfile
import zipfile
from pathlib import Path

from tests.architecture.source_tree import DISTRIBUTIONS, ROOT


def build_all(target: Path) -> None:
    for folder in DISTRIBUTIONS:
        # Without isolation: with the locked tools, and without the internet.
        command = [
            sys.executable,
            "-m",
            "build",
            "--no-isolation",
            "--outdir",
            str(target),
            str(ROOT / folder),
        ]
        done = subprocess.run(command, capture_output=True, text=True, check=False)
        assert done.returncode == 0, done.stdout + done.stderr


def names_in_wheel(wheel: Path) -> set[str]:
    with zipfile.ZipFile(wheel) as archive:
        return set(archive.namelist())


def names_in_source_distribution(archive_file: Path) -> set[str]:
    """Without the folder that they are all in."""
    with tarfile.open(archive_file) as archive:
        return {name.split("/", 1)[1] for name in archive.getnames() if "/" in name}


def text_in_wheel(wheel: Path, name: str) -> str:
    with zipfile.ZipFile(wheel) as archive:
        return archive.read(name).decode()
