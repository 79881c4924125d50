"""A program run in a Python of its own, where strings have other hashes than here."""

import os
import subprocess
import sys
from collections.abc import Iterable


def lines_of_another_process(program: str, lines: Iterable[bytes], hash_seed: int) -> list[bytes]:
    """What the program prints, line by line, for these lines of input."""
    done = subprocess.run(
        [sys.executable, "-c", program],
        input=b"\n".join(lines),
        env=os.environ | {"PYTHONHASHSEED": str(hash_seed)},
        capture_output=True,
        check=True,
    )
    return done.stdout.splitlines()
