"""Small files of small functions; no list of exemptions."""

import ast
from pathlib import Path

import pytest

from tests.architecture.source_tree import own_code, short_name, syntax

CODE_FILE_LINES = 400
TEST_FILE_LINES = 500
FUNCTION_LINES = 50


@pytest.mark.parametrize("path", own_code(), ids=short_name)
def test_a_file_can_be_read_in_one_go(path: Path) -> None:
    limit = TEST_FILE_LINES if short_name(path).startswith("tests/") else CODE_FILE_LINES
    assert len(path.read_text(encoding="utf-8").splitlines()) <= limit


@pytest.mark.parametrize("path", own_code(), ids=short_name)
def test_a_function_can_be_seen_at_one_glance(path: Path) -> None:
    lines_of = {
        f"{node.name}, line {node.lineno}": lines_without_docstring(node)
        for node in ast.walk(syntax(path))
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
    }
    assert {name: lines for name, lines in lines_of.items() if lines > FUNCTION_LINES} == {}


def lines_without_docstring(function: ast.FunctionDef | ast.AsyncFunctionDef) -> int:
    assert function.end_lineno is not None
    lines = function.end_lineno - function.lineno + 1
    if ast.get_docstring(function) is not None:
        first = function.body[0]
        assert first.end_lineno is not None
        lines -= first.end_lineno - first.lineno + 1
    return lines
