"""What the guides name exists: paths, make targets, subcommands."""

import re
import subprocess
import sys
from pathlib import Path

import pytest

from tests.architecture.source_tree import ROOT, own_files, short_name

GUIDES = [path for path in own_files() if path.suffix == ".md"]
CODE = re.compile(r"`([^`\n]+)`")
LINK = re.compile(r"\]\(([^)#\s]+)[^)]*\)")
PATH = re.compile(r"\.?[\w-]+(\.[\w-]+)*(/[\w.-]+)*/?")
FILE_ENDINGS = (".json", ".lock", ".md", ".py", ".toml")
COMMENT = re.compile(r"(?:^|\s)#.*")
MAKE_TARGET = re.compile(r"\bmake ([a-z][a-z-]*)")
SUBCOMMAND = re.compile(r"(?<![\w.-])bagatelle ([a-z]+)(?= |$)")


@pytest.mark.parametrize("guide", GUIDES, ids=short_name)
def test_paths_exist(guide: Path) -> None:
    assert [name for name in paths_named(guide) if not is_there(guide, name)] == []


@pytest.mark.parametrize("guide", GUIDES, ids=short_name)
def test_make_targets_exist(guide: Path) -> None:
    targets = set(re.findall(r"^([a-z][a-z-]*):", (ROOT / "Makefile").read_text(), re.MULTILINE))
    assert targets >= {"demo", "test", "verify"}
    assert {name for code in code_in(guide) for name in MAKE_TARGET.findall(code)} - targets == set()


def test_subcommands_exist() -> None:
    shown = subprocess.run(
        [sys.executable, "-m", "bagatelle.command.main", "--help"], capture_output=True, text=True, check=True
    ).stdout
    there = set(re.findall(r"^    ([a-z]+)(?: |$)", shown, re.MULTILINE))
    assert there >= {"plan", "verify", "serve", "migrate"}
    named = {name for guide in GUIDES for code in code_in(guide) for name in SUBCOMMAND.findall(code)}
    assert named - there == set()


def code_in(guide: Path) -> list[str]:
    """Everything between backticks, and every line of a fenced block without its comment."""
    prose, *rest = re.split(r"^```.*$", guide.read_text(encoding="utf-8"), flags=re.MULTILINE)
    blocks, proses = rest[::2], [prose, *rest[1::2]]
    return [
        *(code for part in proses for code in CODE.findall(part)),
        *(COMMENT.sub("", line).strip() for block in blocks for line in block.splitlines()),
    ]


def paths_named(guide: Path) -> list[str]:
    """Links within the repository, and code that is one path of it: below a top-level folder, or a file's name."""
    top_level = {path.relative_to(ROOT).parts[0] for path in own_files()}
    links = [link for link in LINK.findall(guide.read_text(encoding="utf-8")) if "://" not in link]
    codes = [
        code
        for code in code_in(guide)
        if PATH.fullmatch(code)
        and ((("/" in code) and code.split("/")[0] in top_level) or code.endswith(FILE_ENDINGS))
    ]
    return [*links, *codes]


def is_there(guide: Path, name: str) -> bool:
    """Below the root or beside the guide; a bare file name anywhere."""
    if (ROOT / name).exists() or (guide.parent / name).exists():
        return True
    return "/" not in name and any(path.name == name for path in own_files())
