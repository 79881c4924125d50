"""What mypyc may compile: modules that are there, and that define no msgspec structure, which it would break."""

import ast
from typing import Final

import pytest

from tests.architecture.source_tree import ROOT, pyproject, syntax

COMPILED: Final[list[str]] = pyproject("shared")["tool"]["hatch"]["build"]["hooks"]["mypyc"]["include"]


@pytest.mark.parametrize("module", COMPILED)
def test_it_defines_no_structure(module: str) -> None:
    classes = [node for node in ast.walk(syntax(ROOT / "shared" / module)) if isinstance(node, ast.ClassDef)]
    structures = [
        each.name
        for each in classes
        if any(isinstance(base, ast.Name) and base.id == "Struct" for base in each.bases)
    ]
    assert structures == [], f"{module} defines {structures}; mypyc would drop what they are told in brackets"


def test_each_stands_once_and_in_order() -> None:
    assert sorted(set(COMPILED)) == COMPILED


def test_it_is_asked_for() -> None:
    """A wheel is pure Python unless the builder asks for more: a C compiler is not everywhere."""
    assert pyproject("shared")["tool"]["hatch"]["build"]["hooks"]["mypyc"]["enable-by-default"] is False
