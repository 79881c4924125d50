"""Who may import whom. The contracts stand in the root pyproject.toml, below [tool.importlinter]."""

import ast
import subprocess
import sys
from pathlib import Path

import pytest

from tests.architecture.source_tree import ROOT, code_below, short_name, syntax

WHAT_PLUGINS_IMPORT = {"bagatelle.contract", "bagatelle.toml_catalogue"}


def test_every_contract_is_kept() -> None:
    program = Path(sys.executable).with_name("lint-imports")
    done = subprocess.run([program, "--no-cache"], cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr


@pytest.mark.parametrize("path", code_below("plugins"), ids=short_name)
def test_plugins_import_nothing_of_the_host_but_its_contract(path: Path) -> None:
    imported = [name for node in ast.walk(syntax(path)) for name in modules_of(node)]
    assert [
        name for name in imported if name.split(".")[0] == "bagatelle" and name not in WHAT_PLUGINS_IMPORT
    ] == []


def modules_of(node: ast.AST) -> list[str]:
    match node:
        case ast.Import(names=names):
            return [alias.name for alias in names]
        case ast.ImportFrom(module=str(module), level=0):
            return [module]
        case _:
            return []
