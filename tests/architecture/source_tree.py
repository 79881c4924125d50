"""The repository's own files, as somebody reads them who has no git: what `.gitignore` names is left out."""

import ast
import tomllib
from collections.abc import Iterator
from fnmatch import fnmatch
from functools import cache
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
PLUGINS = tuple(
    sorted(path.parent.relative_to(ROOT).as_posix() for path in ROOT.glob("plugins/*/pyproject.toml"))
)
DISTRIBUTIONS = ("shared", "service", *PLUGINS)
NOT_OURS = (".git", *(line.strip("/") for line in (ROOT / ".gitignore").read_text().splitlines() if line))


@cache
def own_files() -> tuple[Path, ...]:
    return tuple(sorted(_below(ROOT)))


def own_code() -> list[Path]:
    return [path for path in own_files() if path.suffix == ".py"]


def code_below(folder: str) -> list[Path]:
    return [path for path in own_code() if path.is_relative_to(ROOT / folder)]


def short_name(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


@cache
def syntax(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


def pyproject(folder: str) -> dict[str, Any]:
    return tomllib.loads((ROOT / folder / "pyproject.toml").read_text(encoding="utf-8"))


def _below(folder: Path) -> Iterator[Path]:
    for path in folder.iterdir():
        if any(fnmatch(path.name, pattern) for pattern in NOT_OURS):
            continue
        if path.is_dir():
            yield from _below(path)
        else:
            yield path
