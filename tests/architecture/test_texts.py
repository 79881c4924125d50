"""Every text that the code says exists, and every text is said somewhere."""

import ast
import json
import re
from pathlib import Path

from tests.architecture.source_tree import ROOT, code_below, syntax

WORDING = ROOT / "shared" / "bagatelle" / "wording"
PREFIX = "engine."
# A text id, or the beginning of one that goes on with a value of a closed list.
WHOLE_ID = re.compile(r"engine(\.[a-z0-9_-]+)+")


def texts(locale: str) -> set[str]:
    return set(json.loads((WORDING / f"{locale}.json").read_text(encoding="utf-8")))


def patterns_in(path: Path) -> list[str]:
    """Every text id in the code, as a regular expression: what is put in at run time stands for one part."""
    nodes = list(ast.walk(syntax(path)))
    joined = [node.values for node in nodes if isinstance(node, ast.JoinedStr)]
    pieces = {id(piece) for values in joined for piece in values}
    whole = [
        str(node.value)
        for node in nodes
        if isinstance(node, ast.Constant) and id(node) not in pieces and WHOLE_ID.fullmatch(str(node.value))
    ]
    return [
        *(re.escape(text) for text in whole),
        *(pattern for values in joined if (pattern := joined_pattern(values)).startswith(re.escape(PREFIX))),
    ]


def joined_pattern(values: list[ast.expr]) -> str:
    return "".join(
        re.escape(str(value.value)) if isinstance(value, ast.Constant) else "[a-z0-9_-]+" for value in values
    )


def said() -> dict[str, set[str]]:
    """Each pattern with the files that have it."""
    where: dict[str, set[str]] = {}
    for path in [*code_below("shared"), *code_below("plugins")]:
        for pattern in patterns_in(path):
            where.setdefault(pattern, set()).add(path.name)
    return where


def test_what_the_code_says_exists() -> None:
    known, patterns = texts("en"), said()
    assert len(patterns) > 20
    missing = {
        pattern: files
        for pattern, files in patterns.items()
        if not any(re.fullmatch(pattern, key) for key in known)
    }
    assert missing == {}


def test_no_text_is_dead() -> None:
    patterns = said()
    assert {
        key for key in texts("en") if not any(re.fullmatch(pattern, key) for pattern in patterns)
    } == set()


def test_another_locale_says_nothing_of_its_own() -> None:
    locales = {path.stem for path in WORDING.glob("*.json")} - {"en"}
    assert "en-US" in locales
    for locale in locales:
        assert texts(locale) <= texts("en"), locale
