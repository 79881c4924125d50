"""Nothing that is kept names somebody's machine, a package host or unfinished work."""

import re
from pathlib import Path

import pytest

from tests.architecture.source_tree import ROOT, own_files, short_name

# In brackets, so that this file does not name them.
MACHINE_PATH = re.compile(r"(?<![\w.~}-])/(?:w[o]rk|r[o]ot|h[o]me|U[s]ers|t[m]p|o[p]t|m[n]t)/[A-Za-z._]")
PACKAGE_HOST = re.compile(
    r"p[y]pi\.org|f[i]les\.pythonhosted|r[e]gistry\.npmjs|a[r]tifactory|--(?:extra-)?i[n]dex-url"
)
UNFINISHED = re.compile(r"\b(?:T[O]DO|F[I]XME|X[X]X)\b|raise N[o]tImplementedError")


@pytest.mark.parametrize(
    "pattern", [MACHINE_PATH, PACKAGE_HOST, UNFINISHED], ids=["path", "host", "unfinished"]
)
def test_no_file_names_it(pattern: re.Pattern[str]) -> None:
    found = [
        f"{short_name(path)}:{number}: {line.strip()[:100]}"
        for path in own_files()
        for number, line in enumerate(lines_of(path), start=1)
        if pattern.search(line)
    ]
    assert found == []


def test_the_lock_names_no_place() -> None:
    lock = (ROOT / "requirements.lock").read_text(encoding="utf-8")
    assert not re.search(r"://|^-|file:|\s@\s", lock, re.MULTILINE)


@pytest.mark.parametrize("line", ["see /w" + "ork/notes", 'open("/h' + 'ome/ada/x")'])
def test_a_path_of_a_machine_would_be_found(line: str) -> None:
    assert MACHINE_PATH.search(line)


def lines_of(path: Path) -> list[str]:
    return path.read_text(encoding="utf-8").splitlines()
